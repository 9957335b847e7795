import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { PictureFlags, type PicturePacket } from "../../core/wire/picture-packet.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createThighReadings, type ThighReadings } from "./thigh-readings.ts";

let thigh: ThighReadings;
let tense: Float64Array;
let scene: OpenBackend;

beforeAll(() => {
	thigh = createThighReadings();
	tense = thigh.tensed("rectus-femoris");
});

async function open(): Promise<void> {
	scene = openBackend();
	await scene.until(({ link }) => link.state === "waiting-for-board");
}

let frame = 0;

/** Frames 1/30 s apart in device time, as fast as they are taken; 66 dB above a noise of a fixed sequence. */
function play(
	readings: Float64Array,
	seconds: number,
	change: { bandIndex?: number; lostBefore?: number } = {},
): void {
	for (let i = 0; i < Math.round(seconds * 30); i++) {
		frame++;
		scene.source.frame(
			readings.map((value, r) => value * (1 + 5e-4 * Math.sin(1e4 * Math.sin(frame * 208 + r)))),
			change,
		);
	}
}

const isReady = ({ picture, baseline }: AppState): boolean => picture.state === "ready" && baseline !== null;

/** Until the model by the baseline's own noise is in use. */
async function rest(): Promise<void> {
	play(thigh.rest, 2);
	const { picture } = await scene.until(isReady);
	const first = picture.state === "ready" ? picture.geometryId : 0;
	const geometry = await scene.ask("getGeometry", { geometryId: first });
	if (geometry.regionNoise[0] !== null) return;
	await scene.until(({ picture: next }) => next.state === "ready" && next.geometryId !== first);
}

/** The first picture after a rest. */
async function firstPicture(): Promise<PicturePacket> {
	const coming = scene.untilPicture(() => true);
	play(thigh.rest, 1 / 30);
	return coming;
}

/** One walk: each step goes on from the one before. */
describe("live", () => {
	beforeAll(async () => {
		await open();
		scene.source.announce();
		await rest();
	});

	afterAll(() => scene.close());

	test("takes a rest by itself and then shows which muscle conducts less, by how much", async () => {
		expect(scene.backend.state().baseline).toMatchObject({ automatic: true });
		const coming = scene.untilPicture(({ regionMeans }) => Math.abs(regionMeans[0]!) > 0.005);
		play(tense, 1);
		const { geometryId, regionMeans, nodeValues, flags, bandIndex } = await coming;
		const geometry = await scene.ask("getGeometry", { geometryId });
		const trendRegions = geometry.regions.filter((region) => region.trendIndex !== null);
		expect(trendRegions).toHaveLength(regionMeans.length);
		expect(geometry.nodes).toHaveLength(2 * nodeValues.length);
		const strongest = regionMeans.indexOf(Math.min(...regionMeans));
		expect(trendRegions[strongest]?.id).toBe("rectus-femoris");
		// Muscle across its fibres at 50 kHz is 0.35 S/m (C. Gabriel 1996): a tenth less is -0.035. A linear picture of
		// a small muscle spreads it; half to all of it must remain.
		expect(regionMeans[strongest]).toBeLessThan(-0.017);
		expect(regionMeans[strongest]).toBeGreaterThan(-0.037);
		expect(flags & PictureFlags.simulated).toBe(PictureFlags.simulated);
		expect(bandIndex).toBe(0);
		expect(geometry).toMatchObject({ side: "right", unit: "S/m", bandIndex: 0 });
	});

	test("keeps the lines of a page that opens late, with a gap where frames are missing", async () => {
		play(thigh.rest, 1);
		play(thigh.rest, 1 / 30, { lostBefore: 3 });
		play(tense, 1);
		await scene.untilPicture(({ sequence }) => sequence === scene.source.sequence);
		const trends = await scene.ask("getLiveTrends", { seconds: 60 });
		expect(trends.regions[0]).toEqual({ id: "rectus-femoris", name: "Rectus femoris" });
		expect(trends.values[0]?.filter((value) => value === null)).toHaveLength(1);
		expect(Math.min(...(trends.values[0] ?? []).filter((value) => value !== null))).toBeLessThan(-0.01);
		const { timeMicros } = scene.pictures.at(-1)!;
		expect(trends.seconds.at(-1)).toBeLessThanOrEqual(timeMicros / 1e6 + 1e-9);
	});

	test("goes on after a gap from a rest that was asked for", async () => {
		const before = scene.backend.state().picture;
		const taking = scene.ask("takeBaseline", { seconds: 1 });
		expect(scene.backend.state().takingBaseline).toEqual({ secondsLeft: 1 });
		play(tense, 1.1);
		await taking;
		const picture = scene.untilPicture(({ flags }) => (flags & PictureFlags.newRest) !== 0);
		play(tense, 1);
		expect(Math.abs((await picture).regionMeans[0]!)).toBeLessThan(0.002);
		expect(scene.backend.state().baseline).toMatchObject({ automatic: false, seconds: 1 });
		// Its noise is another, so the matrix is made again while the old one works on.
		await scene.until(
			({ picture: next }) => next.state === "ready" && JSON.stringify(next) !== JSON.stringify(before),
		);
	});

	test("rebuilds for another prior and keeps showing the old picture meanwhile", async () => {
		const shown = (await firstPicture()).geometryId;
		await scene.ask("setPrior", { prior: "laplace", rule: "noise-figure" });
		expect((await firstPicture()).geometryId).toBe(shown);
		const { picture: next } = await scene.until(
			({ picture: state }) => state.state === "ready" && state.geometryId !== shown,
		);
		if (next.state !== "ready") return;
		const geometry = await scene.ask("getGeometry", { geometryId: next.geometryId });
		expect(geometry.prior).toBe("laplace");
	});
});

describe("set up and bands", () => {
	beforeEach(open);
	afterEach(() => scene.close());

	test("streams the band that was selected and keeps the lines of all", async () => {
		scene.source.announce({}, { bandCount: 2 });
		scene.source.configure({ bandIndex: 1 });
		for (let i = 0; i < 60; i++) {
			play(thigh.rest, 1 / 30, { bandIndex: 0 });
			play(thigh.rest, 1 / 30, { bandIndex: 1 });
		}
		await scene.until(isReady);
		await scene.ask("selectBand", { bandIndex: 1 });
		// also while no picture of it is ready
		expect(scene.backend.state().board?.bandIndex).toBe(1);
		await scene.until(isReady);
		const picture = scene.untilPicture(({ regionMeans }) => regionMeans[0]! < -0.01);
		play(thigh.rest, 0.5, { bandIndex: 0 });
		play(tense, 1, { bandIndex: 1 });
		expect((await picture).bandIndex).toBe(1);
		const ofSecond = await scene.ask("getLiveTrends", { seconds: 60 });
		await scene.ask("selectBand", { bandIndex: 0 });
		const ofFirst = await scene.ask("getLiveTrends", { seconds: 60 });
		expect(Math.min(...(ofSecond.values[0] as number[]))).toBeLessThan(-0.01);
		expect(Math.min(...(ofFirst.values[0] as number[]))).toBeGreaterThan(-0.005);
		expect((await scene.backend.request("selectBand", { bandIndex: 2 })).ok).toBe(false);
	});

	test("says so when the set-up is for another number of electrodes, and recovers", async () => {
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: null, limb, band: { ...band, electrodeCount: 12, name: "Twelve" } });
		scene.source.announce();
		const { picture } = await scene.until((state) => state.picture.state === "failed");
		expect(picture).toMatchObject({
			fault: { kind: "invalid-argument", path: "band.electrodeCount", got: "12" },
		});
		await scene.ask("setUp", { personId: null, limb: { ...limb, side: "left" }, band });
		const { picture: next } = await scene.until((state) => state.picture.state === "ready");
		if (next.state !== "ready") return;
		expect((await scene.ask("getGeometry", { geometryId: next.geometryId })).side).toBe("left");
	});

	test("says in words what does not fit in a set-up that cannot be, and keeps the one before", async () => {
		const before = scene.backend.state().setup;
		const band = { ...before.band, electrodeWidth: 0.05 };
		const reply = await scene.backend.request("setUp", { personId: null, limb: before.limb, band });
		expect(reply).toMatchObject({ ok: false, error: { kind: "invalid-argument", path: "band" } });
		expect(JSON.stringify(reply)).toContain("overlap");
		expect(scene.backend.state().setup).toEqual(before);
	});
});

describe("a recording", () => {
	beforeEach(open);
	afterEach(() => scene.close());

	test("holds every frame, the rest, the means and the loss, and is there after a restart", async () => {
		scene.source.announce();
		await rest();
		const { sessionId } = await scene.ask("startRecording", { title: "Walk" });
		const before = scene.pictures.length;
		play(thigh.rest, 1);
		play(tense, 1, { lostBefore: 0 });
		play(tense, 1 / 30, { lostBefore: 2 });
		expect(scene.backend.state().recording).toMatchObject({ sessionId, title: "Walk", frames: 61 });
		await scene.untilPicture(() => scene.pictures.length === before + 61);
		await scene.ask("stopRecording", null);
		expect(scene.backend.state().recording).toBeNull();
		const { sessions } = await scene.ask("listSessions", { personId: null, offset: 0, limit: 10 });
		expect(sessions).toMatchObject([
			{ id: sessionId, frameCount: 61, lostCount: 2, simulated: true, side: "right", closedCleanly: true },
		]);
		await scene.backend.dispose();

		const again = openBackend({ dataFolder: scene.folder, source: null });
		try {
			const listed = await again.ask("listSessions", { personId: null, offset: 0, limit: 10 });
			expect(listed.sessions[0]).toMatchObject({ id: sessionId, frameCount: 61 });
			await again.ask("openReplay", { sessionId });
			await again.until(({ picture }) => picture.state === "ready");
			const trends = await again.ask("getReplayTrends", { points: 1000 });
			expect(trends.seconds).toHaveLength(61);
			expect(trends.values[0]?.[10]).toBeGreaterThan(-0.005);
			expect(trends.values[0]?.at(-1)).toBeLessThan(-0.017);
		} finally {
			await again.close();
		}
	});

	test("goes on over a restart of the board that numbers its settings anew, and marks the gap", async () => {
		scene.source.announce();
		await rest();
		const { sessionId } = await scene.ask("startRecording", { title: "" });
		play(thigh.rest, 1);
		scene.source.tell({
			state: "reconnecting",
			label: "memory",
			attempt: 1,
			fault: { kind: "no-data", path: "memory" },
		});
		scene.source.announce({ configuration: 9 }, { bootNumber: 2 });
		scene.source.frame(thigh.rest, { timeMicros: 60e6, lostBefore: 0 });
		play(tense, 1);
		await scene.ask("stopRecording", null);
		const live = await scene.ask("getLiveTrends", { seconds: 600 });
		expect(live.values[0]?.filter((value) => value === null)).toHaveLength(1);
		await scene.ask("openReplay", { sessionId });
		const { replay } = await scene.until(({ picture }) => picture.state === "ready");
		expect(
			replay?.marks.map(({ label }) => label).filter((label) => label.startsWith("Gap of ")),
		).toHaveLength(1);
		const trends = await scene.ask("getReplayTrends", { points: 1000 });
		expect(trends.seconds.filter((_, i) => trends.values[0]?.[i] !== null)).toHaveLength(61);
		const last = scene.untilPicture(({ regionMeans }) => regionMeans[0]! < -0.01);
		await scene.ask("controlReplay", {
			playing: null,
			speed: null,
			seekSeconds: replay?.durationSeconds ?? 0,
		});
		await last;
	});

	test("begins before a rest was taken and still has its frames", async () => {
		scene.source.announce();
		const { sessionId } = await scene.ask("startRecording", { title: "" });
		await rest();
		await scene.ask("stopRecording", null);
		await scene.ask("openReplay", { sessionId });
		const { replay } = await scene.until(({ picture }) => picture.state === "ready");
		expect(replay?.marks).toMatchObject([{ label: "Rest baseline" }]);
	});

	test("is not mixed with frames of another board", async () => {
		scene.source.announce();
		await scene.ask("startRecording", { title: "" });
		const reply = await scene.backend.request("connect", {
			kind: "simulated",
			scenario: "rest",
			seed: 1,
			framesPerSecond: 30,
			bandCount: 1,
			electrodeCount: 16,
			corruptShare: 0,
			dropShare: 0,
		});
		expect(reply).toEqual({ ok: false, error: { kind: "already-recording" } });
		expect(await scene.backend.request("startRecording", { title: "" })).toMatchObject({ ok: false });
		const { limb, band } = scene.backend.state().setup;
		expect(await scene.backend.request("setUp", { personId: null, limb, band })).toMatchObject({ ok: false });
	});

	test("of a real board needs the cautions to be read; connecting to one as well", async () => {
		scene.source.announce({}, { simulated: false });
		const needsCautions = { ok: false, error: { kind: "cautions-not-acknowledged" } };
		expect(await scene.backend.request("startRecording", { title: "" })).toEqual(needsCautions);
		const serial = { kind: "serial", portId: "port-1", baudRate: 115_200 } as const;
		expect(await scene.backend.request("connect", serial)).toEqual(needsCautions);
		const { version } = scene.backend.state().cautions;
		expect(await scene.backend.request("acknowledgeCautions", { version: version + 1 })).toMatchObject({
			ok: false,
		});
		await scene.ask("acknowledgeCautions", { version });
		expect(scene.backend.state().cautions.acknowledged).toBe(true);
		await scene.ask("startRecording", { title: "" });
		await scene.ask("stopRecording", null);
		// No path that a page sends is ever opened: only ids of ports that were listed.
		expect(await scene.backend.request("connect", { ...serial, portId: "/dev/ttyUSB0" })).toEqual({
			ok: false,
			error: { kind: "no-such-port", path: "/dev/ttyUSB0" },
		});
	});
});

describe("requests", () => {
	beforeAll(open);
	afterAll(() => scene.close());

	test.each([
		["takeBaseline", { seconds: 0 }, "seconds"],
		["takeBaseline", { seconds: Number.NaN }, "seconds"],
		["takeBaseline", null, ""],
		["setUp", { personId: null, limb: {}, band: {} }, "limb.side"],
		["openReplay", { sessionId: "1" }, "sessionId"],
		["getState", { extra: 1 }, ""],
	] as const)("%s with %o is told where it is wrong", async (name, argument, path) => {
		expect(await scene.backend.request(name, argument)).toMatchObject({
			ok: false,
			error: { kind: "invalid-argument", path },
		});
	});

	test("that need something that is not there say what", async () => {
		const kindOf = async (name: Parameters<typeof scene.backend.request>[0], argument: unknown) => {
			const reply = await scene.backend.request(name, argument);
			return reply.ok ? null : reply.error.kind;
		};
		expect(await kindOf("takeBaseline", { seconds: 2 })).toBe("not-connected");
		expect(await kindOf("startRecording", { title: "" })).toBe("not-connected");
		expect(await kindOf("stopRecording", null)).toBe("not-recording");
		expect(await kindOf("openReplay", { sessionId: 9 })).toBe("no-such-record");
		expect(await kindOf("controlReplay", { playing: true, speed: null, seekSeconds: null })).toBe(
			"invalid-argument",
		);
		expect(await kindOf("getGeometry", { geometryId: 99 })).toBe("invalid-argument");
		expect(await kindOf("constructor" as never, null)).toBe("invalid-argument");
	});

	test("settle as cancelled when they are aborted", async () => {
		scene.source.announce();
		const abort = new AbortController();
		const reply = scene.backend.request("takeBaseline", { seconds: 5 }, abort.signal);
		abort.abort();
		expect(await reply).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(scene.backend.state().takingBaseline).toBeNull();
	});

	test("save people, whom the next recording then belongs to", async () => {
		const person = await scene.ask("savePerson", {
			id: null,
			code: "P-01",
			displayName: null,
			affectedSide: "left",
		});
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: person.id, limb, band });
		expect(scene.backend.state().setup.person?.code).toBe("P-01");
		scene.source.announce();
		await scene.ask("startRecording", { title: "" });
		await scene.ask("stopRecording", null);
		expect(scene.backend.state().setup.person?.sessionCount).toBe(1);
		expect(await scene.backend.request("setUp", { personId: 77, limb, band })).toMatchObject({
			error: { kind: "no-such-record", what: "person", id: 77 },
		});
	});
});

test("ends what runs and settles what waits", async () => {
	await open();
	scene.source.announce();
	await scene.ask("startRecording", { title: "" });
	const waiting = scene.backend.request("takeBaseline", { seconds: 5 });
	play(thigh.rest, 1);
	await scene.backend.dispose();
	await scene.backend.dispose();
	expect(await waiting).toMatchObject({ ok: false });
	expect(scene.source.isDisposed).toBe(true);
	const again = openBackend({ dataFolder: scene.folder, source: null });
	const { sessions } = await again.ask("listSessions", { personId: null, offset: 0, limit: 1 });
	await again.close();
	expect(sessions[0]).toMatchObject({ frameCount: 30, closedCleanly: true });
	await scene.close();
});
