/** From a failing electrode's frames to what the screen, the record and the coach say of it. */
import { afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { keepWithout } from "../../core/picture/reading-trust.ts";
import { PictureFlags, type PicturePacket } from "../../core/wire/picture-packet.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createThighReadings, type ThighReadings } from "./thigh-readings.ts";

const pattern = createPattern(16, "adjacent");
let thigh: ThighReadings;
let tense: Float64Array;

beforeAll(() => {
	thigh = createThighReadings();
	tense = thigh.tensed("vastus-lateralis");
});

let scene: OpenBackend;
let frame = 0;

beforeEach(() => {
	frame = 0;
	scene = openBackend();
});

afterEach(() => scene.close());

type Spoil = (value: number, reading: number) => number;
const nothing: Spoil = (value) => value;

const touches = (electrodes: readonly number[], places: readonly number[]) => (reading: number) =>
	places.some((place) => electrodes.includes(pattern.terminals[4 * reading + place]! + 1));

/** The board drives only a third of the current through these electrodes: what is read elsewhere stays right. */
function weakly(...electrodes: number[]): Spoil {
	const drives = touches(electrodes, [0, 1]);
	return (value, reading) => (drives(reading) ? 0.33 * value : value);
}

/** Everything that these electrodes have to do with is at the converter's limit. */
function clipped(...electrodes: number[]): Spoil {
	const has = touches(electrodes, [0, 1, 2, 3]);
	return (value, reading) => (has(reading) ? Math.sign(value) : value);
}

async function play(readings: Float64Array, seconds: number, spoil: Spoil = nothing): Promise<void> {
	const count = Math.round(seconds * 30);
	const last = scene.source.sequence + count;
	const isPictured = scene.backend.state().picture.state === "ready";
	const arrived = isPictured ? scene.untilPicture(({ sequence }) => sequence === last) : null;
	for (let i = 0; i < count; i++) {
		frame++;
		scene.source.frame(
			readings.map((value, r) => spoil(value * (1 + 5e-4 * Math.sin(1e4 * Math.sin(frame * 208 + r))), r)),
		);
	}
	await arrived;
}

async function begin(spoil: Spoil = nothing): Promise<void> {
	await scene.until(({ link }) => link.state === "waiting-for-board");
	scene.source.announce({ fullScale: 1 });
	await play(thigh.rest, 2, spoil);
	await scene.until(({ picture, baseline }) => picture.state === "ready" && baseline !== null);
}

const leftOut = () => scene.backend.state().leftOut;
const numbers = () => leftOut()?.electrodes.map(({ number }) => number) ?? [];

async function lateralis(picture: PicturePacket): Promise<number> {
	const { regions } = await scene.ask("getGeometry", { geometryId: picture.geometryId });
	return picture.regionMeans[regions.find(({ id }) => id === "vastus-lateralis")!.trendIndex!]!;
}

async function largestMean(picture: PicturePacket): Promise<{ readonly id: string; readonly mean: number }> {
	const { regions } = await scene.ask("getGeometry", { geometryId: picture.geometryId });
	const { regionMeans } = picture;
	const largest = regionMeans.reduce((best, mean, i) => (mean < regionMeans[best]! ? i : best), 0);
	return {
		id: regions.find(({ trendIndex }) => trendIndex === largest)!.id,
		mean: regionMeans[largest]!,
	};
}

describe("while frames arrive", () => {
	test("a failing electrode is left out within about a second, told, and comes back by itself", async () => {
		await begin();
		await play(thigh.rest, 1);
		expect(leftOut()).toBeNull();
		await play(thigh.rest, 0.9, weakly(7));
		expect(leftOut()).toMatchObject({
			electrodes: [{ number: 7, sign: "reciprocity", isSinceRest: false }],
			isTrustworthy: true,
		});
		// 4 of 16 pairs drive and 4 read with it: 13 · 2 + 13 · 2 readings less those that count twice
		expect(leftOut()!.share).toBeCloseTo(keepWithout(pattern, [6]).filter((kept) => kept === 0).length / 208);
		expect(scene.backend.state().quality).toMatchObject({
			overall: "fair",
			reason: "electrode 7 is left out",
		});
		const geometryId = scene.pictures.at(-1)!.geometryId;
		await play(thigh.rest, 3.5);
		expect(leftOut()).toBeNull();
		// all of that with one and the same model
		expect(scene.pictures.at(-1)!.geometryId).toBe(geometryId);
		const { trendMarks } = scene.backend.state();
		expect(trendMarks.leftOut).toHaveLength(1);
		expect(trendMarks.leftOut[0]).toMatchObject({ electrodes: [7], isTrustworthy: true });
		const { from, rightFrom, to } = trendMarks.leftOut[0]!;
		// from the fault's own begin, not from when it was found
		expect(Math.abs(from - 3)).toBeLessThan(0.02);
		expect(rightFrom - from).toBeGreaterThan(0.1);
		expect(rightFrom - from).toBeLessThan(0.4);
		expect(to! - from).toBeGreaterThan(2);
	});

	// Where a target lies on a disc with any two of 16 electrodes gone is checked in test/pipeline/lost-electrodes.test.ts.
	test("the muscle at work is told from the others with two electrodes gone, and keeps its size", async () => {
		await begin();
		const muscles = ["vastus-lateralis", "rectus-femoris", "hamstrings", "vastus-medialis"];
		const atWork = muscles.map((id) => ({ id, readings: thigh.tensed(id), whole: Number.NaN }));
		for (const muscle of atWork) {
			await play(muscle.readings, 0.1);
			const { id, mean } = await largestMean(scene.pictures.at(-1)!);
			expect(id).toBe(muscle.id);
			muscle.whole = mean;
		}
		// neighbours and others; one between two that drive weakly would be in doubt itself
		for (const lost of [
			[1, 2],
			[3, 11],
			[8, 11],
			[13, 16],
			[15, 16],
		]) {
			await play(thigh.rest, 0.9, weakly(...lost));
			for (const { id, readings, whole } of atWork) {
				await play(readings, 0.1, weakly(...lost));
				expect(numbers()).toEqual(lost);
				const largest = await largestMean(scene.pictures.at(-1)!);
				expect(largest.id, `without ${lost}`).toBe(id);
				// the least: rectus femoris, which lies under electrodes 1 and 2
				expect(largest.mean / whole, `${id} without ${lost}`).toBeGreaterThan(0.35);
				expect(largest.mean / whole, `${id} without ${lost}`).toBeLessThan(1.5);
			}
			await play(thigh.rest, 3.5);
			expect(numbers()).toEqual([]);
		}
	});

	test("clipped readings have no weight from their first frame on, and are believed again after two seconds", async () => {
		await begin();
		await play(tense, 1);
		const size = await lateralis(scene.pictures.at(-1)!);
		const limited: Spoil = (value, reading) => (reading === 20 || reading === 77 ? 0.99 : value);
		await play(tense, 1 / 30, limited);
		expect(leftOut()).toMatchObject({ electrodes: [], readings: 2, isTrustworthy: true });
		expect((await lateralis(scene.pictures.at(-1)!)) / size).toBeCloseTo(1, 1);
		await play(tense, 1.8);
		expect(leftOut()?.readings).toBe(2);
		await play(tense, 0.4);
		expect(leftOut()).toBeNull();
	});

	test("an electrode whose readings are all clipped counts as failing", async () => {
		await begin();
		await play(thigh.rest, 0.9, clipped(12));
		expect(leftOut()?.electrodes).toEqual([{ number: 12, sign: "readings", isSinceRest: false }]);
	});

	test("what was off when rest was taken stays out until rest is taken again", async () => {
		await begin(weakly(4));
		expect(leftOut()?.electrodes).toEqual([{ number: 4, sign: "reciprocity", isSinceRest: true }]);
		await play(tense, 4);
		expect(numbers()).toEqual([4]);
		expect(await lateralis(scene.pictures.at(-1)!)).toBeLessThan(-0.01);
		const taken = scene.ask("takeBaseline", { seconds: 1 });
		await play(thigh.rest, 1.2);
		await taken;
		await play(thigh.rest, 3);
		expect(leftOut()).toBeNull();
		expect(scene.backend.state().trendMarks.rests).toHaveLength(1);
	});
});

// Asfaw & Adler, Physiol. Meas. 26:S175, 2005. No two readings of this pattern are reciprocal.
test("an electrode whose readings do not follow from the others' is left out where reciprocity says nothing", async () => {
	const opposite = createPattern(16, "opposite");
	const other = createThighReadings("four-terminal", undefined, "opposite");
	await scene.until(({ link }) => link.state === "waiting-for-board");
	scene.source.announce({ drive: "opposite", readingCount: opposite.terminals.length / 4 });
	await play(other.rest, 2);
	await scene.until(({ picture, baseline }) => picture.state === "ready" && baseline !== null);
	await play(other.tensed("vastus-lateralis"), 2);
	expect(leftOut()).toBeNull();
	const reads = (reading: number): boolean =>
		[2, 3].some((place) => opposite.terminals[4 * reading + place] === 6);
	await play(other.rest, 0.6, (value, reading) => (reads(reading) ? 0.7 * value : value));
	expect(leftOut()).toMatchObject({ electrodes: [{ number: 7, sign: "signature" }], isTrustworthy: true });
	await play(other.rest, 3);
	expect(leftOut()).toBeNull();
});

test("a record keeps what was left out: replay shows what live showed, marks and export say it", async () => {
	await begin();
	const { sessionId } = await scene.ask("startRecording", { title: "An electrode comes off" });
	await play(thigh.rest, 1);
	await play(tense, 1.5, weakly(7));
	await play(tense, 0.5, (value, reading) => weakly(7)(reading === 20 ? 3 : value, reading));
	const taken = scene.ask("takeBaseline", { seconds: 1 });
	await play(thigh.rest, 4);
	await taken;
	await play(tense, 1);
	const live = scene.pictures.slice(-Math.round(8 * 30));
	await scene.ask("stopRecording", null);
	await scene.ask("disconnect", null);

	await scene.ask("openReplay", { sessionId });
	const { replay } = await scene.until(({ picture }) => picture.state === "ready");
	expect(replay?.marks.map(({ label }) => label)).toEqual(
		expect.arrayContaining(["Electrode 7 is left out", "Electrode 7 counts again", "Rest baseline"]),
	);
	expect(replay?.trendMarks.leftOut).toMatchObject([{ electrodes: [7], isTrustworthy: true }]);
	// from the fault's own begin
	expect(Math.abs(replay!.trendMarks.leftOut[0]!.from - 1)).toBeLessThan(0.02);
	expect(replay?.trendMarks.rests).toHaveLength(1);
	// with the model of the first rest, before and while the electrode is off; the second rest has a model of its own
	for (const seconds of [0.5, 1.1, 2, 2.8]) {
		const coming = scene.untilPicture(
			({ flags, timeMicros }) =>
				(flags & PictureFlags.replay) !== 0 && Math.abs(timeMicros / 1e6 - seconds) < 0.05,
		);
		await scene.ask("controlReplay", { playing: null, speed: null, seekSeconds: seconds });
		const shown = await coming;
		const same = live.find(({ sequence }) => sequence === shown.sequence)!;
		expect(relativeDifference(shown.nodeValues, same.nodeValues), `at ${seconds} s`).toBeLessThan(1e-4);
		const isOut = seconds > 1.5;
		expect(scene.backend.state().replay?.leftOut?.electrodes.map(({ number }) => number) ?? []).toEqual(
			isOut ? [7] : [],
		);
	}
	await scene.ask("closeReplay", null);

	const { exportId } = await scene.ask("exportSession", { sessionId, format: "csv" });
	let text = "";
	for (let isLast = false; !isLast; ) {
		const piece = await scene.ask("readExport", { exportId });
		text += piece.text;
		({ isLast } = piece);
	}
	const [header, ...rows] = text
		.trim()
		.split("\r\n")
		.map((line) => line.split(","));
	const column = header!.indexOf("electrodes left out");
	const quality = header!.indexOf("quality [1]");
	expect(new Set(rows.map((row) => row[column]))).toEqual(new Set(["", "7"]));
	const unnoticed = rows.filter((row) => row[header!.indexOf("electrodes found failing later")] === "7");
	// from the fault's first frame to the last one before it was found
	const seconds = unnoticed.map((row) => Number(row[header!.indexOf("session time [s]")]));
	expect(Math.abs(seconds[0]! - 1)).toBeLessThan(0.02);
	const firstLeftOut = rows.findIndex((row) => row[column] === "7");
	expect(rows[firstLeftOut - 1]).toBe(unnoticed.at(-1));
	expect(unnoticed).toHaveLength(Math.round((seconds.at(-1)! - seconds[0]!) * 30) + 1);
	for (const row of rows) {
		if (row[column] === "7") expect(Number(row[quality])).toBeLessThan(0.8);
		else expect(Number(row[quality])).toBe(1);
	}
});

function relativeDifference(a: Float32Array, b: Float32Array): number {
	let difference = 0;
	let size = 0;
	for (let i = 0; i < b.length; i++) {
		difference += (a[i]! - b[i]!) ** 2;
		size += b[i]! ** 2;
	}
	return Math.sqrt(difference / size);
}
