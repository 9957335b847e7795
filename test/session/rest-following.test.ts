/** A long session with slow drift and long holds, from the board's frames to what live pictures, marks and a replay show. */
import { afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import type { ReplayState } from "../../app/contract.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { cautions } from "../../core/safety/cautions.ts";
import { PictureFlags, type PicturePacket } from "../../core/wire/picture-packet.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createThighReadings, type ThighReadings } from "./thigh-readings.ts";

/** Few, so that ten minutes take seconds. */
const FRAMES_PER_SECOND = 4;
/** Pictured before the next are sent, s; holds begin and end just after such a step. */
const STEP = 2.5;
const MINUTE = 60;
const HOLD = { from: 25.3, to: 55.3, ramp: 0.7 } as const;
/** All tissue conducts so much better after ten minutes: fluid and warmth (the size is our own choice). */
const DRIFT = 0.03;

/** Of the board's first frame, from which the stream's seconds are counted, s. */
const FIRST = 1 / 32;

const { terminals } = createPattern(16, "adjacent");
const touches = (reading: number, electrode: number): boolean =>
	terminals.subarray(4 * reading, 4 * reading + 4).includes(electrode - 1);

type Spoil = (value: number, reading: number) => number;
const nothing: Spoil = (value) => value;

let thigh: ThighReadings;
let tense: Float64Array;
let scene: OpenBackend;
/** Board time since the first frame, s. */
let seconds = 0;
/** The same when drift began. */
let driftsFrom = Number.POSITIVE_INFINITY;

beforeAll(() => {
	thigh = createThighReadings();
	tense = thigh.tensed("vastus-lateralis");
});

beforeEach(() => {
	scene = openBackend();
	seconds = 0;
	driftsFrom = Number.POSITIVE_INFINITY;
});

afterEach(() => scene.close());

function effortAt(since: number): number {
	const within = since % MINUTE;
	return Math.max(0, Math.min(1, (within - HOLD.from) / HOLD.ramp, (HOLD.to - within) / HOLD.ramp));
}

function readingsNow(): Float64Array {
	const since = Math.max(0, seconds - driftsFrom);
	const drift = 1 / (1 + (DRIFT * since) / 600);
	const effort = effortAt(since);
	return thigh.rest.map(
		(rest, r) =>
			drift *
			(rest + effort * (tense[r]! - rest)) *
			(1 + 5e-4 * Math.sin(1e4 * Math.sin(seconds * 7919 + r))),
	);
}

async function play(
	length: number,
	framesPerSecond = FRAMES_PER_SECOND,
	spoil: Spoil = nothing,
): Promise<void> {
	const isPictured = scene.backend.state().picture.state === "ready";
	const count = STEP * framesPerSecond;
	for (let step = 0; step < length / STEP; step++) {
		const last = scene.source.sequence + count;
		const arrived = isPictured ? scene.untilPicture(({ sequence }) => sequence === last) : null;
		for (let i = 0; i < count; i++) {
			seconds += 1 / framesPerSecond;
			scene.source.frame(readingsNow().map(spoil), { timeMicros: Math.round(5e6 + 1e6 * seconds) });
		}
		await arrived;
	}
}

async function begin(): Promise<void> {
	await scene.until(({ link }) => link.state === "waiting-for-board");
	scene.source.announce();
	await play(STEP, 32);
	await scene.until(({ picture, baseline }) => picture.state === "ready" && baseline !== null);
	await play(STEP);
	driftsFrom = seconds;
}

/** Of the muscle at work, S/m, over a span in seconds since drift began. */
async function meanOver(pictures: readonly PicturePacket[], from: number, to: number): Promise<number> {
	const { regions } = await scene.ask("getGeometry", { geometryId: pictures.at(-1)!.geometryId });
	const index = regions.find(({ id }) => id === "vastus-lateralis")!.trendIndex!;
	// the stream's seconds begin with its first frame
	const within = pictures.filter(({ timeMicros }) => {
		const since = timeMicros / 1e6 + FIRST - driftsFrom;
		return since >= from && since <= to;
	});
	return within.reduce((sum, { regionMeans }) => sum + regionMeans[index]!, 0) / within.length;
}

async function restsAndHolds(minutes: number): Promise<{ rests: number[]; holds: number[] }> {
	const rests: number[] = [];
	const holds: number[] = [];
	for (let minute = 0; minute < minutes; minute++) {
		const start = minute * MINUTE;
		rests.push(await meanOver(scene.pictures, start + HOLD.from - 6, start + HOLD.from - 1));
		holds.push(await meanOver(scene.pictures, start + HOLD.from + 2, start + HOLD.to - 2));
	}
	return { rests, holds };
}

test("rest stays at rest for ten minutes of drift, holds keep their height, and a replay shows the same", async () => {
	await begin();
	const { sessionId } = await scene.ask("startRecording", { title: "Drift" });
	const recordedFrom = seconds;
	await play(10 * MINUTE);
	const { rests, holds } = await restsAndHolds(10);
	const size = Math.abs(holds[0]!);
	expect(size).toBeGreaterThan(0.01);
	for (const [minute, rest] of rests.entries()) {
		expect(Math.abs(rest) / size, `rest of minute ${minute}`).toBeLessThan(0.15);
		expect(Math.abs(holds[minute]! / holds[0]! - 1), `hold of minute ${minute}`).toBeLessThan(0.05);
	}
	const followed = scene.pictures.filter(({ flags }) => (flags & PictureFlags.followedRest) !== 0);
	const { trendMarks, baseline } = await scene.until(
		(state) => state.trendMarks.followed.length === followed.length,
	);
	expect(trendMarks.followed).toEqual(followed.map(({ timeMicros }) => timeMicros / 1e6));
	expect(trendMarks.rests).toEqual([]);
	// what was taken is still told as that
	expect(baseline).toMatchObject({ seconds: expect.closeTo(1.7, 1) });
	expect(followed.length).toBeGreaterThan(5);
	for (const { timeMicros } of followed) {
		// means come back up to a step late here
		const decided = timeMicros / 1e6 + FIRST - driftsFrom - STEP;
		expect(effortAt(decided), `followed at work, ${decided} s`).toBe(0);
	}
	expect(new Set(scene.pictures.map(({ geometryId }) => geometryId)).size).toBe(1);
	await scene.ask("stopRecording", null);
	await scene.ask("disconnect", null);

	const moments = [1, 40, 262, 285, 583, 598].concat(
		// just after some of the rest was followed
		trendMarks.followed.filter((_, i) => i % 3 === 0).map((at) => at + FIRST + 0.3 - recordedFrom),
	);
	const replay = await expectReplay(sessionId, moments);
	expect(replay?.trendMarks.followed).toHaveLength(followed.length);
	expect(replay?.trendMarks.rests).toEqual([]);
	expect(replay?.marks.filter(({ label }) => label === "Rest baseline")).toHaveLength(1);
});

/** Each moment's region means are those that were shown live. */
async function expectReplay(sessionId: number, moments: readonly number[]): Promise<ReplayState | null> {
	const live = new Map(scene.pictures.map((picture) => [picture.sequence, picture]));
	await scene.ask("openReplay", { sessionId });
	const { replay } = await scene.until(({ picture }) => picture.state === "ready");
	for (const at of moments) {
		const coming = scene.untilPicture(
			({ flags, timeMicros }) => (flags & PictureFlags.replay) !== 0 && Math.abs(timeMicros / 1e6 - at) < 0.3,
		);
		await scene.ask("controlReplay", { playing: null, speed: null, seekSeconds: at });
		const shown = await coming;
		const same = live.get(shown.sequence)!;
		expect(difference(shown.regionMeans, same.regionMeans), `at ${at} s`).toBeLessThan(1e-6);
	}
	return replay;
}

function difference(a: Float32Array, b: Float32Array): number {
	return a.reduce((most, value, i) => Math.max(most, Math.abs(value - b[i]!)), 0);
}

test("drift shows while following is off, an electrode is out or a person is measured; then it is followed", async () => {
	const person = await scene.ask("savePerson", {
		id: null,
		code: "P-1",
		displayName: null,
		affectedSide: "right",
	});
	await scene.ask("acknowledgeForPerson", { personId: person.id, version: cautions.version });
	const { limb, band } = scene.backend.state().setup;
	await scene.ask("setUp", { personId: person.id, limb, band });
	await begin();
	const followed = () =>
		scene.pictures.filter(({ flags }) => (flags & PictureFlags.followedRest) !== 0).length;
	await scene.ask("setRestFollowing", { isOn: false });
	await play(2 * MINUTE);
	const { rests } = await restsAndHolds(2);
	expect(rests[1]! - rests[0]!).toBeGreaterThan(6e-4);

	await scene.ask("setRestFollowing", { isOn: true });
	await play(15, FRAMES_PER_SECOND, (value, reading) => (touches(reading, 8) ? Math.sign(value) : value));
	await scene.until(({ leftOut }) => leftOut !== null);
	expect(followed()).toBe(0);
	// ends between two versions, which come every 10 s: the picture after one is the first to tell of it
	await play(75);
	expect(followed()).toBeGreaterThan(0);

	const before = followed();
	const isOf = { target: "quadriceps", effort: "maximal", contractions: 10, pauseSeconds: 300 } as const;
	await scene.ask("startReference", isOf);
	const sessionId = (await scene.until(({ recording }) => recording !== null)).recording!.sessionId;
	await play(57.5);
	expect(scene.backend.state().reference?.fault).toBeNull();
	expect(followed()).toBe(before);
	await scene.ask("stopReference", null);
	await play(50);
	expect(followed()).toBeGreaterThan(before);

	// a record that began while a followed rest was in force
	await scene.ask("disconnect", null);
	await expectReplay(sessionId, [0.5, 20, 56]);
});
