/** The C header for firmware authors against the protocol's vectors (made with Python's binascii, struct and base64)
 *  and, on lines nobody thought of, against our own reader of a host's lines. Compiled with the machine's C compiler. */
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { findOnPath } from "../../app/hosts/find-browser.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import { crc16OfText, crcDigits } from "../../core/wire/crc.ts";
import { HostLineReader, refusalReasons } from "../../core/wire/host-command.ts";
import boardLines from "../../core/wire/vectors/board-lines.json" with { type: "json" };
import hostLines from "../../core/wire/vectors/host-lines.json" with { type: "json" };
import { bytesOf } from "./record-log.ts";

const compiler = findOnPath("cc");
const verbs = ["hello", "alive", "start", "stop", "contact", "current", "frequency", "gain"];
const strict = ["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-Wconversion", "-O1"];

describe.skipIf(compiler === null)("the firmware header (skipped without a C compiler)", () => {
	const folder = mkdtempSync(join(tmpdir(), "tautline-firmware-"));
	const harness = join(folder, "harness");
	beforeAll(() => {
		const source = join(import.meta.dirname, "firmware", "board_harness.c");
		execFileSync(compiler!, [
			...strict,
			"-fsanitize=undefined",
			"-fno-sanitize-recover",
			"-o",
			harness,
			source,
		]);
	});
	afterAll(() => rmSync(folder, { recursive: true }));

	/** The harness's answer to each request, in order. */
	function ask(requests: readonly string[]): string[] {
		const run = spawnSync(harness, {
			input: `${requests.join("\n")}\n`,
			encoding: "utf8",
			maxBuffer: 2 ** 26,
		});
		expect(run.stderr).toBe("");
		const answers = run.stdout.split("\n");
		expect(answers.pop()).toBe("");
		expect(answers.length).toBe(requests.length);
		return answers;
	}

	test("compiles as C++ too", () => {
		const header = join(import.meta.dirname, "../../core/wire/firmware/tautline_board.h");
		const plus = findOnPath("c++") ?? findOnPath("g++") ?? findOnPath("clang++");
		if (plus === null) return;
		execFileSync(plus, ["-std=c++11", "-Wall", "-Wextra", "-Werror", "-fsyntax-only", "-x", "c++", header]);
	});

	test("writes the vectors' lines, byte by byte", () => {
		const lines = boardLines.cases.flatMap((vector) => vector.lines).filter(isWritable);
		const types = new Set(lines.map((line) => line[0]));
		expect(types).toEqual(new Set("ABCFHNRSZ"));
		expect(ask(lines.map(requestFor))).toEqual(lines);
	});

	test("writes frames of every length and encoding as Python's and Node's base64 do", () => {
		const random = createSeededRandom(7).next;
		const lengths = [1, 2, 3, 4, 5, 40, 208, 928];
		for (const [encoding, bytes] of [
			["i16", 2],
			["i24", 3],
			["i32", 4],
		] as const) {
			const half = 2 ** (8 * bytes - 1);
			const frames = lengths.map((length) =>
				Array.from({ length }, () => Math.floor(random() * 2 * half) - half),
			);
			const written = ask(
				frames.map((values) => `frame 3 65535 4294967295 1 ${encoding} ${values.join(" ")}`),
			);
			expect(written).toEqual(
				frames.map((values) => {
					const payload = Buffer.alloc(values.length * bytes);
					values.forEach((value, i) => {
						payload.writeIntLE(value, i * bytes, bytes);
					});
					return withChecksum(`F 3 65535 4294967295 1 ${encoding} ${payload.toString("base64")}`);
				}),
			);
		}
		expect(ask(["frame 0 1 2 3 i24 8388608 -8388609"])).toEqual([
			withChecksum(`F 0 1 2 3 i24 ${Buffer.from([0xff, 0xff, 0x7f, 0, 0, 0x80]).toString("base64")}`),
		]);
	});

	test.each(hostLines.cases)("reads a host's line: $name", ({ line, read }) => {
		expect(ask([`read ${line}`])).toEqual([answerFor(read as HostLine)]);
	});

	test("reads 20,000 mutated lines as our own reader does", () => {
		const random = createSeededRandom(11).next;
		const reader = new HostLineReader();
		const bodies = hostLines.cases.map(({ line }) => line.replace(/~.*$/, ""));
		const alphabet = "0123456789 -*.eEQ~acghlopqrstuvy";
		const requests: string[] = [];
		const expected: string[] = [];
		for (let i = 0; i < 20_000; i++) {
			let body = bodies[Math.floor(random() * bodies.length)]!;
			for (let edits = Math.floor(random() * 4); edits > 0; edits--) {
				const at = Math.floor(random() * (body.length + 1));
				const letter = alphabet[Math.floor(random() * alphabet.length)]!;
				body = body.slice(0, at) + (random() < 0.7 ? letter : "") + body.slice(at + (random() < 0.5 ? 1 : 0));
			}
			const line = random() < 0.95 ? withChecksum(body) : `${body}~0000`;
			requests.push(`read ${line}`);
			expected.push(answerFor(reader.read(bytesOf(line)) as HostLine));
		}
		expect(new Set(expected.map((answer) => answer.split(" ")[0])).size).toBe(3);
		const answers = ask(requests);
		for (let i = 0; i < requests.length; i++) {
			expect(
				sameToRounding(answers[i]!, expected[i]!),
				`${requests[i]}: ${answers[i]}, not ${expected[i]}`,
			).toBe(true);
		}
	});

	test("skips a line longer than any command, and goes on with the next", () => {
		const long = withChecksum(`Q 1 ${"a".repeat(200)} * -`);
		expect(ask([`read ${long}`])).toEqual(["nothing"]);
	});
});

interface HostLine {
	readonly kind: string;
	readonly id?: number;
	readonly reason?: string;
	readonly command?: { command: string; bandIndex?: number | null; [value: string]: unknown };
}

function answerFor({ kind, id, reason, command }: HostLine): string {
	if (kind === "ignore") return "nothing";
	if (kind === "refuse") return `refuse ${id} ${(refusalReasons as readonly string[]).indexOf(reason!)}`;
	const value = command!.microamp ?? command!.hertz ?? command!.gain ?? 0;
	return `command ${id} ${verbs.indexOf(command!.command)} ${command!.bandIndex ?? -1} ${value}`;
}

/** The header reads a gain to within a few units of the last place of a double. */
function sameToRounding(answer: string, expected: string): boolean {
	const a = answer.split(" ");
	const b = expected.split(" ");
	return a.length === b.length && a.every((word, i) => word === b[i] || near(Number(word), Number(b[i])));
}

function near(a: number, b: number): boolean {
	return Math.abs(a - b) <= 1e-14 * Math.abs(b);
}

function withChecksum(body: string): string {
	return `${body}~${crcDigits(crc16OfText(body))}`;
}

/** Lines that a board of this version writes: not those of a later one, whole decimals only, and no own band's number
 *  in a list. */
function isWritable(line: string): boolean {
	return (
		/^[HBCRFSZAN] /.test(line) &&
		!line.startsWith("H 2") &&
		!line.startsWith("R 10 ") &&
		!line.includes("37.5") &&
		!line.endsWith("\r")
	);
}

/** What to ask of the harness so that it writes `line`. */
function requestFor(line: string): string {
	const [type, ...fields] = line.replace(/~.*$/, "").split(" ");
	const spread = (text: string) => text.split(",").join(" ");
	switch (type) {
		case "H": {
			const [, boot, time, bands, kind, ...names] = fields;
			return `hello ${boot} ${time} ${bands} ${kind === "simulated" ? 1 : 0} ${names.join(" ")}`;
		}
		case "B":
			return `ability ${fields.join(" ")}`;
		case "C":
			return `configuration ${fields.join(" ")}`;
		case "R":
			if (fields[3]!.includes(":")) {
				const pairs = fields[3]!
					.split(",")
					.map((entry) => (entry.includes(":") ? entry.replace(":", " ") : `${fields[1]} ${entry}`));
				return `list-across ${fields.slice(0, 3).join(" ")} ${pairs.join(" ")}`;
			}
			return `list ${fields.slice(0, 3).join(" ")} ${spread(fields[3]!)}`;
		case "S": {
			const [band, time, activity, battery] = fields;
			const kinds = ["running", "stopped", "charging", "tripped"];
			return `status ${band} ${time} ${kinds.indexOf(activity!)} ${battery}`;
		}
		case "Z":
			return `contacts ${fields[0]} ${fields[1]} ${spread(fields[2]!)}`;
		case "A":
			return `acknowledge ${fields[0]}`;
		case "N":
			return `refuse ${fields[0]} ${(refusalReasons as readonly string[]).indexOf(fields[1]!)}`;
		default:
			return `frame ${fields.slice(0, 5).join(" ")} ${readingsOf(fields[4]!, fields[5]!).join(" ")}`;
	}
}

/** Decoded with Node's own base64 and byte order. */
function readingsOf(encoding: string, payload: string): number[] {
	if (encoding === "d") return payload.split(",").map(Number);
	const bytes = Buffer.from(payload, "base64");
	if (encoding === "f32") return Array.from({ length: bytes.length / 4 }, (_, i) => bytes.readFloatLE(4 * i));
	const width = Number(encoding.slice(1)) / 8;
	return Array.from({ length: bytes.length / width }, (_, i) => bytes.readIntLE(width * i, width));
}
