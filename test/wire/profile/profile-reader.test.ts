/** Lines of boards that print numbers in their own way. Numbers are checked against JavaScript's own `Number`, bytes
 *  against Node's Buffer. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { WrittenProfile } from "../../../core/wire/profile/board-profile.ts";
import { readDecimal } from "../../../core/wire/profile/decimal.ts";
import { badLines, createProfile, createReader } from "./create-profile.ts";

const bytes = (text: string) => Buffer.from(text, "latin1");
const forty = Array.from({ length: 40 }, (_, i) => (i % 2 === 0 ? 1 : -1) * (i + 0.25));

describe("decimal numbers", () => {
	test.each([
		"0",
		"-0",
		"1",
		"+3",
		"-1.25",
		".5",
		"12.",
		"1e3",
		"1E-3",
		"-2.5e+2",
		"00012",
		"123456789012345",
		"0.1",
	])("%s", (text) => {
		expect(readDecimal(bytes(text), 0, text.length, 0x2e)).toBe(Number(text));
	});

	test.each([
		"",
		"-",
		"+",
		".",
		"e3",
		"1e",
		"1e+",
		"1,5",
		"1.2.3",
		"0x10",
		"NaN",
		"inf",
		"1 2",
		"--1",
		"1e99999",
	])("'%s' is none", (text) => {
		expect(readDecimal(bytes(text), 0, text.length, 0x2e)).toBeNaN();
	});

	test("any double that JavaScript writes is read as it was", () => {
		fc.assert(
			fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
				const text = String(value);
				expect(readDecimal(bytes(text), 0, text.length, 0x2e)).toBe(value === 0 ? Number(text) : value);
			}),
			{ seed: 3, numRuns: 2000 },
		);
	});

	test("a comma as decimal mark", () => {
		expect(readDecimal(bytes("-1,25e-2"), 0, 8, 0x2c)).toBe(-0.0125);
		expect(readDecimal(bytes("1.25"), 0, 4, 0x2c)).toBeNaN();
	});
});

describe("ways of writing a line", () => {
	const keys = forty.map((_, i) => `v${i}`);
	const ways: [string, Partial<WrittenProfile>, (values: readonly number[]) => string][] = [
		["commas", {}, (values) => values.join(",")],
		["commas and blanks", {}, (values) => ` ${values.join(" , ")} `],
		[
			"semicolons with decimal commas",
			{ line: { kind: "separated", separator: ";", hasDecimalComma: true } },
			(values) => values.map((value) => String(value).replace(".", ",")).join(";"),
		],
		["tabs", { line: { kind: "separated", separator: "\t" } }, (values) => values.join("\t")],
		[
			"runs of blanks",
			{ line: { kind: "separated", separator: " " } },
			(values) => `  ${values.join(" \t  ")}  `,
		],
		[
			"a prefix",
			{ prefix: "$DATA ", line: { kind: "separated", separator: "," } },
			(values) => `$DATA ${values.join(",")}`,
		],
		[
			"columns of ten characters",
			{
				line: {
					kind: "fixed-columns",
					ranges: forty.map((_, i) => [10 * i, 10 * i + 10] as [number, number]),
				},
			},
			(values) => values.map((value) => String(value).padStart(10)).join(""),
		],
		[
			"keys, in another order",
			{
				line: { kind: "keyed", separator: ";", assign: "=" },
				readings: { kind: "fields", columns: keys },
			},
			(values) =>
				values
					.map((value, i) => `${keys[i]} = ${value}`)
					.reverse()
					.join("; "),
		],
		[
			"fields backwards",
			{ readings: { kind: "fields", columns: forty.map((_, i) => 39 - i) } },
			(values) => [...values].reverse().join(","),
		],
	];

	test.each(ways)("%s", (_, changes, write) => {
		const { reader, frames, read } = createReader(createProfile(changes));
		read(write(forty), `${write(forty.map((value) => 2 * value))}\r`);
		expect(badLines(reader)).toEqual({});
		expect(frames.map(({ values }) => values)).toEqual([forty, forty.map((value) => 2 * value)]);
	});

	const numbers = [
		["uint8", 1, (b: Buffer, v: number, at: number) => b.writeUInt8(Math.abs(v) % 256, at)],
		["int16", 2, (b: Buffer, v: number, at: number) => b.writeInt16BE(v, at)],
		["uint16", 2, (b: Buffer, v: number, at: number) => b.writeUInt16BE(Math.abs(v), at)],
		["int24", 3, (b: Buffer, v: number, at: number) => b.writeIntBE(v, at, 3)],
		["int32", 4, (b: Buffer, v: number, at: number) => b.writeInt32BE(v, at)],
		["uint32", 4, (b: Buffer, v: number, at: number) => b.writeUInt32BE(Math.abs(v), at)],
		["float32", 4, (b: Buffer, v: number, at: number) => b.writeFloatBE(v, at)],
		["float64", 8, (b: Buffer, v: number, at: number) => b.writeDoubleBE(v, at)],
	] as const;
	const cases = numbers.flatMap((one) =>
		(["big-endian", "little-endian"] as const).flatMap((byteOrder) =>
			([0, 1, 2, 4] as const).map((prefixBytes) => [...one, byteOrder, prefixBytes] as const),
		),
	);
	test.each(cases)(
		"base64 of %s, %i bytes, %s, prefix of %i",
		(number, width, write, byteOrder, prefixBytes) => {
			const values = forty.map((value) => Math.trunc(value));
			const isUnsigned = number.startsWith("u");
			const body = Buffer.alloc(prefixBytes + 40 * width);
			if (prefixBytes > 0) body.writeUIntBE(40, 0, prefixBytes);
			for (const [i, value] of values.entries()) write(body, value, prefixBytes + i * width);
			// Little-endian is each number's bytes the other way round.
			if (byteOrder === "little-endian") {
				body.subarray(0, prefixBytes).reverse();
				for (let i = 0; i < 40; i++)
					body.subarray(prefixBytes + i * width, prefixBytes + (i + 1) * width).reverse();
			}
			const { reader, frames, read } = createReader(
				createProfile({
					readings: { kind: "base64", column: 1, number, byteOrder, prefixBytes, prefixCounts: "numbers" },
				}),
			);
			read(`x,${body.toString("base64")}`);
			expect(badLines(reader)).toEqual({});
			expect(frames[0]!.values).toEqual(isUnsigned ? values.map(Math.abs) : values);
		},
	);

	test("a length that does not fit the bytes is told", () => {
		const { reader, frames, read } = createReader(
			createProfile({
				readings: { kind: "base64", column: 0, number: "int16", byteOrder: "big-endian", prefixBytes: 2 },
			}),
		);
		const body = Buffer.alloc(82);
		body.writeUInt16BE(80, 0);
		read(body.toString("base64"));
		body.writeUInt16BE(78, 0);
		read(body.toString("base64"), body.subarray(0, 80).toString("base64"));
		expect(frames.length).toBe(1);
		expect(badLines(reader)).toEqual({ "wrong-count": 2 });
	});
});

describe("frames of several lines", () => {
	const rows = Array.from({ length: 8 }, (_, row) => forty.slice(5 * row, 5 * row + 5).join(","));
	const numbered = rows.map((row, i) => `${i + 1},${row}`);
	const byRow = createProfile({
		frame: { lines: 8, row: 0, firstRow: 1 },
		readings: { kind: "run", first: 1 },
	});

	test("lines that are numbered", () => {
		const { reader, frames, read } = createReader(byRow);
		read(...numbered.slice(5), ...numbered, ...numbered);
		expect(frames.map(({ values }) => values)).toEqual([forty, forty]);
		expect(badLines(reader)).toEqual({});
	});

	test("a frame with a missing line is left out and counted as lost", () => {
		const { reader, frames, read } = createReader(byRow);
		read(...numbered, ...numbered.filter((_, i) => i !== 4), ...numbered);
		expect(frames.map(({ lostBefore }) => lostBefore)).toEqual([0, 1]);
		expect(reader.counters.bad["wrong-count"]).toBe(1);
	});

	test("a mark in front", () => {
		const marked = createProfile({ frame: { lines: 8, mark: "FRAME" } });
		const { reader, frames, read } = createReader(marked);
		read(...rows.slice(6), "FRAME 1", ...rows, "FRAME 2", ...rows.slice(1), "FRAME 3", ...rows);
		expect(frames.map(({ lostBefore }) => lostBefore)).toEqual([0, 1]);
		expect(frames[1]!.values).toEqual(forty);
		expect(badLines(reader)).toEqual({ "wrong-count": 1 });
	});
});

describe("sequence and time", () => {
	const counted = createProfile({
		sequence: { column: 0, modulus: 256 },
		time: { column: 1, unit: "ms" },
		readings: { kind: "run", first: 2 },
	});
	const line = (sequence: number, ms: number) => `${sequence},${ms},${forty.join(",")}`;

	test("gaps are loss, over the end of the counter too", () => {
		const { frames, read } = createReader(counted);
		read(line(250, 0), line(251, 20), line(254, 80), line(1, 140));
		expect(frames.map(({ lostBefore }) => lostBefore)).toEqual([0, 0, 2, 2]);
		expect(frames.map(({ timeMicros }) => timeMicros)).toEqual([0, 20_000, 80_000, 140_000]);
	});

	test("a repeated line is told apart", () => {
		const { reader, frames, read } = createReader(counted);
		read(line(1, 0), line(1, 0), line(2, 20));
		expect(frames.length).toBe(2);
		expect(badLines(reader)).toEqual({ repeated: 1 });
	});

	test("a board that starts afresh goes on in time", () => {
		const { frames, read } = createReader(counted);
		read(line(10, 900_000), line(11, 900_020), line(0, 3), line(1, 23));
		expect(frames.map(({ timeMicros }) => timeMicros - 900_000_000)).toEqual([0, 20_000, 40_000, 60_000]);
	});

	test("a 32-bit counter of µs goes round", () => {
		const micros = createProfile({ time: { column: 0, unit: "µs" }, readings: { kind: "run", first: 1 } });
		const { frames, read } = createReader(micros);
		for (const time of [4_294_960_000, 12_704, 32_704]) read(`${time},${forty.join(",")}`);
		const [first, ...later] = frames.map(({ timeMicros }) => timeMicros);
		expect(later.map((time) => time - first!)).toEqual([20_000, 40_000]);
	});

	test("without a clock the time of arrival is taken", () => {
		const { frames, read } = createReader(createProfile());
		for (let i = 0; i < 3; i++) read(forty.join(","));
		expect(frames.map(({ timeMicros }) => timeMicros)).toEqual([20_000, 40_000, 60_000]);
		expect(frames.map(({ sequence }) => sequence)).toEqual([1, 2, 3]);
	});
});

describe("lines that cannot be used", () => {
	const good = forty.join(",");
	test.each([
		["too few fields", "1,2,3", "wrong-count"],
		["a word for a number", good.replace("4.25", "ovf"), "bad-payload"],
		["an empty field", good.replace("4.25", ""), "bad-payload"],
		["longer than any line", "1,".repeat(25_000), "too-long"],
	])("%s", (_, line, cause) => {
		const { reader, frames, read } = createReader(createProfile());
		read(good, line, good);
		expect(badLines(reader)).toEqual({ [cause]: 1 });
		expect(frames.length).toBe(2);
	});

	test("the tail of a line at the beginning is nobody's fault", () => {
		const { reader, frames, read } = createReader(createProfile());
		read("25,3.25", good);
		expect(badLines(reader)).toEqual({});
		expect(frames.length).toBe(1);
	});

	test("comments and empty lines are passed over, other prefixes counted", () => {
		const { reader, frames, read } = createReader(createProfile({ comments: ["#"], prefix: "D" }));
		read(`D${good}`, "# hello", "", "\r", "E1,2", `D${good}`);
		expect(frames.length).toBe(2);
		expect(badLines(reader)).toEqual({ "unknown-type": 1 });
	});

	test("no bytes make it throw, whatever the profile", () => {
		const profiles = [
			createProfile(),
			createProfile({ line: { kind: "separated", separator: " " }, sequence: { column: 0 } }),
			createProfile({ frame: { lines: 8, row: 0 }, readings: { kind: "run", first: 1 } }),
			createProfile({
				readings: { kind: "base64", column: 0, number: "float32", byteOrder: "big-endian", prefixBytes: 2 },
			}),
		];
		fc.assert(
			fc.property(fc.array(fc.uint8Array({ maxLength: 120 }), { maxLength: 8 }), (lines) => {
				for (const profile of profiles) createReader(profile).read(...lines);
			}),
			{ seed: 5, numRuns: 300 },
		);
	});
});

test("sizes without sign get the sign that they have on a disc", () => {
	// Adjacent drive and reading on a uniform disc: all negative (Isaacson, IEEE Trans. Med. Imaging 5:91, 1986).
	const { frames, read } = createReader(createProfile({ value: { unit: "mV", isMagnitude: true } }));
	read(forty.join(","));
	expect(frames[0]!.values).toEqual(forty.map((value) => -Math.abs(value)));
	const two = createProfile({
		pattern: { kind: "named", drive: "adjacent", terminals: "two-terminal" },
		value: { unit: "Ω", isMagnitude: true },
	});
	const pairs = createReader(two);
	pairs.read(forty.slice(0, 28).join(","));
	expect(pairs.frames[0]!.values.every((value) => value > 0)).toBe(true);
});
