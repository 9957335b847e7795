import { describe, expect, test } from "vitest";
import { patternOf } from "../../../core/wire/profile/board-profile.ts";
import { readingsOnDisc } from "../../../core/wire/profile/disc-signs.ts";
import { agreementWithDisc, leastAgreement, tryProfile } from "../../../core/wire/profile/profile-trial.ts";
import { seeFields } from "../../../core/wire/profile/seen-fields.ts";
import { suggestProfile } from "../../../core/wire/profile/suggest-profile.ts";
import { createThighReadings } from "../../session/thigh-readings.ts";
import { createProfile } from "./create-profile.ts";

const bytes = (text: string) => new TextEncoder().encode(text);
const numbers = Array.from({ length: 40 }, (_, i) => i + 1).join(",");

describe("a trial of a profile on a sample", () => {
	const timed = createProfile({
		sequence: { column: 0 },
		time: { column: 1, unit: "ms" },
		readings: { kind: "run", first: 2 },
		comments: ["#"],
	});

	test("tells frames, what is lost, the rate and the mean", () => {
		const lines = [10, 11, 13, 14].map((count, i) => `${count},${40 * i},${numbers}`);
		const trial = tryProfile(timed, bytes(`# begin\r\n\r\n${lines.join("\r\n")}\r\n`));
		expect(trial).toMatchObject({ lines: 5, frames: 4, lost: 1, refused: [], firstRefused: null });
		expect(trial.framesPerSecond).toBeCloseTo(25, 9);
		expect(trial.unevenShare).toBe(0);
		expect([...trial.firstFrame!.subarray(0, 3)]).toEqual([1, 2, 3]);
		expect([...trial.meanFrame!.subarray(0, 3)]).toEqual([1, 2, 3]);
	});

	test("tells the first line that is refused, and what in it", () => {
		const short = `2,80,${numbers.slice(0, -3)}`;
		const word = `3,120,${numbers.replace("7", "x7")}`;
		const trial = tryProfile(timed, bytes(`0,0,${numbers}\n1,40,${numbers}\n${short}\r\n${word}\n${word}\n`));
		expect(trial.frames).toBe(2);
		expect(trial.refused).toEqual([
			{ cause: "bad-payload", count: 2 },
			{ cause: "wrong-count", count: 1 },
		]);
		expect(trial.firstRefused).toEqual({
			number: 3,
			cause: "wrong-count",
			text: short,
			fieldCount: 41,
			field: { column: 41, text: null },
		});
		const second = tryProfile(timed, bytes(`0,0,${numbers}\n${word}\n`));
		expect(second.firstRefused?.field).toEqual({ column: 8, text: "x7" });
	});

	test("says nothing of rate or steadiness without a clock, and nothing of an empty sample", () => {
		const plain = createProfile();
		expect(tryProfile(plain, bytes(`${numbers}\n${numbers}\n`))).toMatchObject({
			frames: 2,
			framesPerSecond: null,
			unevenShare: null,
		});
		expect(tryProfile(plain, bytes(""))).toMatchObject({
			lines: 0,
			frames: 0,
			firstFrame: null,
			meanFrame: null,
		});
	});
});

describe("a frame beside a uniform disc", () => {
	const four = createProfile({ electrodeCount: 16 });
	const two = createProfile({
		electrodeCount: 16,
		pattern: { kind: "named", drive: "adjacent", terminals: "two-terminal" },
	});

	test.each([four, two])("agrees where a thigh by the forward model is in order", (profile) => {
		const { terminals } = profile.pattern as { terminals: "four-terminal" | "two-terminal" };
		const { rest } = createThighReadings(terminals);
		expect(agreementWithDisc(profile, rest)).toBeGreaterThan(0.97);
		// a contact impedance that all readings share, and another current
		expect(
			agreementWithDisc(
				profile,
				rest.map((value) => 3 * value + 5),
			),
		).toBeGreaterThan(0.97);
		expect(
			agreementWithDisc(
				profile,
				rest.map((value) => -value),
			),
		).toBeLessThan(-0.97);
	});

	test("does not agree in another order", () => {
		const { rest } = createThighReadings("two-terminal");
		const { terminals } = patternOf(two);
		const byDistance = [...rest.keys()].sort((a, b) => distance(a) - distance(b));
		function distance(reading: number): number {
			return terminals[4 * reading + 1]! - terminals[4 * reading]!;
		}
		const shifted = rest.map((_, i) => rest[(i + 1) % rest.length]!);
		const sorted = rest.map((_, i) => rest[byDistance[i]!]!);
		for (const frame of [shifted, sorted, [...rest].reverse()])
			expect(agreementWithDisc(two, Float64Array.from(frame))).toBeLessThan(leastAgreement);
	});

	test("tells nothing where all readings are alike", () => {
		expect(agreementWithDisc(four, new Float64Array(208).fill(2))).toBeNull();
	});

	test("reads as the potential of two poles on the rim does", () => {
		// Reciprocity, and U(φ) = ln(d₂/d₁) of poles at 0 and 180°, read at ±60°: ln(tan 60°) twice
		const terminals = Uint16Array.of(0, 3, 1, 2, 1, 2, 0, 3);
		const [forth, back] = readingsOnDisc(terminals, 6);
		expect(forth).toBeCloseTo(back!, 12);
		expect(forth).toBeCloseTo(Math.log(3), 12);
	});
});

describe("fields as they are seen", () => {
	test("lie where the reader finds them", () => {
		const seen = seeFields(
			"# x\nB: 1.5; 2,\n\nB:  7;µ;8\n",
			{
				...createProfile({ comments: ["#"], prefix: "B:" }),
				line: { kind: "separated", separator: ";", hasDecimalComma: false },
			},
			10,
		);
		expect(seen.map(({ number, kind }) => [number, kind])).toEqual([
			[1, "skipped"],
			[2, "data"],
			[4, "data"],
		]);
		expect(seen[2]!.fields).toEqual([
			{ column: 0, from: 4, to: 5, text: "7" },
			{ column: 1, from: 6, to: 7, text: "µ" },
			{ column: 2, from: 8, to: 9, text: "8" },
		]);
	});

	test("are named by their keys", () => {
		const profile = createProfile({
			line: { kind: "keyed", separator: " ", assign: "=" },
			readings: { kind: "fields", columns: Array.from({ length: 40 }, (_, i) => `r${i}`) },
		});
		expect(seeFields("t=1 r0=2.5", profile, 1)[0]!.fields.map(({ column, text }) => [column, text])).toEqual([
			["t", "1"],
			["r0", "2.5"],
		]);
	});
});

test("what fixed columns hold is guessed once their places are told", () => {
	const rows = Array.from({ length: 9 }, (_, i) => `${String(20 * i).padStart(4)}${"  1.25".repeat(28)}`);
	const ranges = Array.from({ length: 29 }, (_, i): [number, number] =>
		i === 0 ? [0, 4] : [6 * i - 2, 6 * i + 4],
	);
	const given = { kind: "fixed-columns", ranges, hasDecimalComma: false } as const;
	const suggestion = suggestProfile(`${rows.join("\n")}\n`, given);
	expect(suggestion?.profile).toMatchObject({
		electrodeCount: 8,
		pattern: { terminals: "two-terminal" },
		time: { column: 0, unit: "ms" },
		readings: { kind: "run", first: 1 },
	});
});

test("half a character in a profile is no reason to fall", () => {
	const profile = createProfile({ prefix: "\ud800", comments: ["\udc00"] });
	expect(tryProfile(profile, bytes("1,2\n")).frames).toBe(0);
});
