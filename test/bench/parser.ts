/** Lines per second through the parser: 208 readings a frame, as 24-bit base64 and as a decimal list. */
import { configurationLines, frameLine } from "../../core/wire/board-lines.ts";
import { parseLines } from "../../core/wire/parse-lines.ts";
import { createConfiguration } from "../store/create-records.ts";
import { time } from "./measure.ts";

const lineCount = 2000;

export function benchParser(): Record<string, unknown> {
	return { "i24 lines/s": linesPerSecond("i24"), "decimal lines/s": linesPerSecond("d") };
}

function linesPerSecond(encoding: "i24" | "d"): number {
	const bytes = new TextEncoder();
	const values = Float64Array.from({ length: 208 }, (_, i) => 20_000 * Math.sin(1 + i));
	for (let i = 0; i < values.length; i++) values[i] = Math.round(values[i]!);
	const lines = configurationLines(createConfiguration())
		.trimEnd()
		.split("\n")
		.map((line) => bytes.encode(line));
	for (let k = 0; k < lineCount; k++) {
		lines.push(bytes.encode(frameLine(0, 1, k, (33_333 * k) % 2 ** 32, encoding, values).trimEnd()));
	}
	const counters = parseLines(lines);
	if (counters.frames !== lineCount)
		throw new Error(`parser bench: ${counters.frames} of ${lineCount} frames read`);
	const { median } = time(() => parseLines(lines));
	return Math.round((1e6 * lineCount) / median);
}
