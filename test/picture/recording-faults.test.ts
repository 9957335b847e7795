/** Measured tanks, see `test/outside/data/README.md`, with readings of electrodes replaced. */
import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { createFaultFinder } from "../../core/picture/recording-faults.ts";
import { parseRecording, type Recording } from "../../core/picture/recording-file.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };
import tank32 from "../outside/data/tank32.json" with { type: "json" };
import { createRandom } from "./plain-algebra.ts";

const [small, large] = [tank16, tank32].map((file) => {
	const read = parseRecording(file);
	if (!read.ok) throw new Error(sentenceOf(read.error));
	return read.value;
}) as [Recording, Recording];

const findIn = new Map([small, large].map((recording) => [recording, createFaultFinder(recording.setup)]));

type Spoil = (value: number, typical: number) => number;

function found(recording: Recording, frame: number, electrodes: readonly number[], spoil: Spoil) {
	const { setup, rests, frames } = recording;
	const { rest, voltages } = frames[frame]!;
	const atRest = rests.get(rest)!;
	const typical = Math.sqrt(atRest.reduce((sum, value) => sum + value * value, 0) / atRest.length);
	const { terminals } = setup.pattern;
	const spoiled = voltages.map((value, r) =>
		terminals.subarray(4 * r, 4 * r + 4).some((terminal) => electrodes.includes(terminal))
			? spoil(value, typical)
			: value,
	);
	return findIn.get(recording)!(atRest, spoiled).map(({ electrode }) => electrode);
}

test("measured frames with good electrodes raise no alarm", () => {
	for (const recording of [small, large]) {
		for (const frame of recording.frames.keys())
			expect(found(recording, frame, [], (value) => value)).toEqual([]);
	}
});

test("a frame that is the rest itself, or as noisy as a small change, raises no alarm", () => {
	const rest = small.rests.get(small.frames[0]!.rest)!;
	const find = findIn.get(small)!;
	expect(find(rest, rest)).toEqual([]);
	const random = createRandom(9);
	for (let trial = 0; trial < 20; trial++) {
		const noisy = rest.map((value) => value * (1 + 1e-3 * random()));
		expect(find(rest, noisy)).toEqual([]);
	}
});

test.each([
	[
		"anything",
		() => {
			const random = createRandom(5);
			return (_: number, typical: number) => typical * random();
		},
	],
	["nothing", () => () => 0],
	["the converter's limit", () => (value: number, typical: number) => 5 * typical * Math.sign(value)],
] as const)("electrodes that read %s are found, and no other", (_, createSpoil) => {
	for (const [frame, electrodes] of [
		[0, [3]],
		[1, [0, 13]],
		[4, [4, 5]],
		[5, [1, 3]],
		[9, [8, 12]],
	] as const) {
		expect(found(small, frame, electrodes, createSpoil()), `frame ${frame}`).toEqual(electrodes);
	}
	expect(found(large, 0, [6, 14], createSpoil())).toEqual([6, 14]);
});

test("one all of whose readings touch another that fails is not accused: they are left out already", () => {
	// electrode 31 drives nothing here and is read against 30 alone
	const anything = createRandom(3);
	expect(found(large, 0, [30, 31], (_, typical) => typical * anything())).toEqual([30]);
	expect(found(large, 0, [0, 31], (_, typical) => typical * anything())).toEqual([0, 31]);
});
