import { readFile } from "node:fs/promises";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseCase } from "../../core/physics/case.ts";
import { predictCase } from "../../core/physics/predict-case.ts";
import type { Outcome, Verb } from "./verb.ts";

/** Prints the voltages that a case's readings would show: `{"voltages":[…]}`, V. */
export const predict: Verb = {
	usage: "tautline predict CASE.json",
	options: {},
	async run(_values, positionals): Promise<Outcome> {
		const [path, ...more] = positionals;
		if (path === undefined || more.length > 0)
			return { exitCode: 2, message: `expected one case file, got ${positionals.length}` };
		let text: string;
		try {
			text = await readFile(path, "utf8");
		} catch (error) {
			return { exitCode: 1, message: `${path} cannot be read (${(error as NodeJS.ErrnoException).code})` };
		}
		let input: unknown;
		try {
			input = JSON.parse(text);
		} catch (error) {
			return { exitCode: 1, message: `${path}: expected JSON, got ${(error as Error).message}` };
		}
		const read = parseCase(input);
		if (!read.ok) return { exitCode: 1, message: `${path}: ${sentenceOf(read.error)}` };
		const voltages = predictCase(read.value);
		if (!voltages.ok) return { exitCode: 1, message: `${path}: ${sentenceOf(voltages.error)}` };
		process.stdout.write(`${JSON.stringify({ voltages: Array.from(voltages.value) })}\n`);
		return { exitCode: 0 };
	},
};
