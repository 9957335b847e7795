import { describe, expect, test } from "vitest";
import type { Fault } from "../../app/contract.ts";
import type { FrameHeader, PictureStream } from "../../app/pipeline/picture-stream.ts";
import type { BuiltVolume, VolumeRequest } from "../../app/pipeline/volume-messages.ts";
import { createLiveBand, type LiveBand } from "../../app/session/live-band.ts";
import { createLiveVolume } from "../../app/session/live-volume.ts";
import { createSetUp } from "../../app/session/set-up.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";
import { PictureFlags } from "../../core/wire/picture-packet.ts";
import { createFakeClock } from "./fake-clock.ts";

const READINGS = 208;

function createBand(bandIndex: number, rest: number | null): LiveBand {
	const configuration = {
		configuration: bandIndex,
		bandIndex,
		electrodeCount: 16,
		drive: "adjacent",
		terminals: "four-terminal",
		readingCount: READINGS,
		listedTerminals: null,
		currentMilliamp: 1,
		frequencyHertz: 50_000,
		gain: 1,
		voltsPerUnit: 1,
		fullScale: 0,
	} as const;
	const made = createLiveBand(configuration, null);
	if (!made.ok) throw new Error(made.error.kind);
	const band = made.value;
	if (rest !== null) takeRest(band, rest);
	return band;
}

/** All readings alike: 1000 Ω for each unit. */
function takeRest(band: LiveBand, value: number): void {
	const values = (v: number) => new Float64Array(READINGS).fill(v);
	const rest = { median: values(value), noise: values(0.001), frames: 10 };
	band.baseline = {
		rest: rest as unknown as NonNullable<LiveBand["baseline"]>["rest"],
		configuration: band.configuration,
		takenAt: 0,
		seconds: 2,
		automatic: true,
		followedFrom: null,
	};
}

function createBuilt(request: VolumeRequest): BuiltVolume {
	const readingCount = request.terminals.length / 4;
	return {
		model: { readingCount } as BuiltVolume["model"],
		geometry: {
			nodesPerLevel: request.places.length,
			bandHeights: request.places.map(({ aboveKnee }) => aboveKnee),
		} as unknown as BuiltVolume["geometry"],
		regions: [{ id: "a", name: "A" }],
		modelRest: new Float64Array(readingCount).fill(500),
		noisePerOhm: Float64Array.of(2),
		wasKept: true,
	};
}

/** The two threads at their far ends: what was asked, and answers on order. */
function createScene({ bandCount = 2, isSimulated = true, rests = [1, 1] as (number | null)[] } = {}) {
	const bands = new Map<number, LiveBand>();
	const jobs: {
		request: VolumeRequest;
		signal: AbortSignal;
		finish: (result: Result<BuiltVolume, Fault>) => void;
	}[] = [];
	const pushed: (FrameHeader & { first: number; count: number })[] = [];
	const alive = new Set<number>();
	const packets: ArrayBuffer[] = [];
	let ids = 0;
	let streams = 0;
	let give: Parameters<Parameters<typeof createLiveVolume>[0]["createStream"]>[0] | null = null;
	const add = (): number => {
		ids++;
		alive.add(ids);
		return ids;
	};
	const stream: PictureStream = {
		addModel: add,
		addBaseline: add,
		addTrust: add,
		forget: (id) => alive.delete(id),
		push(header, values) {
			pushed.push({ ...header, first: values[0]!, count: values.length });
			return true;
		},
		dispose: () => Promise.resolve(),
	};
	const volume = createLiveVolume({
		clock: createFakeClock(),
		setUp: createSetUp(null),
		builder: {
			build: (request, onStep, signal) =>
				new Promise((finish) => {
					onStep("Making the mesh of the limb", 0.25);
					jobs.push({ request, signal, finish });
					signal.addEventListener("abort", () => finish(failure({ kind: "cancelled" })));
				}),
			dispose: () => Promise.resolve(),
		},
		createStream(events) {
			streams++;
			give = events;
			return stream;
		},
		bands: () => bands,
		bandCount: () => bandCount,
		isSimulated: () => isSimulated,
		onPacket: (packet) => packets.push(packet),
		onChange: () => undefined,
	});
	const settle = async (): Promise<void> => {
		for (let i = 0; i < 6; i++) await Promise.resolve();
	};
	for (const [i, rest] of rests.entries()) if (i < bandCount) bands.set(i, createBand(i, rest));
	return {
		volume,
		bands,
		jobs,
		pushed,
		alive,
		packets,
		settle,
		streams: () => streams,
		async ready() {
			volume.start();
			jobs.at(-1)!.finish(success(createBuilt(jobs.at(-1)!.request)));
			await settle();
		},
		frame(bandIndex: number, timeMicros: number, value = 1) {
			const values = new Float64Array(READINGS).fill(value);
			const frame = { bandIndex, sequence: 0, timeMicros, configuration: bandIndex, values } as Frame;
			volume.add(frame, 5);
		},
		/** The picture of the oldest frame that has none yet. */
		picture(at: number, mean = 0.5, moves: readonly number[] = []) {
			const header = pushed[at]!;
			give!.onPicture({
				modelId: header.modelId,
				stream: header.stream,
				token: 0,
				packet: new ArrayBuffer(8),
				moves: Float64Array.from({ length: 8 }, (_, m) => moves[m] ?? 0),
				parts: {
					...header,
					geometryId: header.modelId,
					regionMeans: Float32Array.of(mean),
					nodeValues: new Float32Array(header.withImage ? 3 : 0),
				},
			});
		},
	};
}

describe("before it is asked for", () => {
	test("nothing is made and no thread is started", () => {
		const { volume, jobs, streams, frame } = createScene();
		volume.refresh();
		frame(0, 0);
		expect(volume.state).toEqual({ state: "off" });
		expect(jobs).toEqual([]);
		expect(streams()).toBe(0);
	});
});

describe("what it waits for", () => {
	test("all bands of the board", () => {
		const { volume, bands, jobs } = createScene({ rests: [1] });
		volume.start();
		expect(volume.state).toEqual({ state: "waiting", for: "bands" });
		bands.set(1, createBand(1, 1));
		volume.refresh();
		expect(volume.state).toEqual({ state: "preparing", step: "Making the mesh of the limb", share: 0.25 });
		expect(jobs).toHaveLength(1);
	});

	test("the bands' places, unless there is one band or they are simulated", () => {
		const real = createScene({ isSimulated: false });
		real.volume.start();
		expect(real.volume.state).toEqual({ state: "waiting", for: "places" });
		const one = createScene({ isSimulated: false, bandCount: 1, rests: [1] });
		one.volume.start();
		expect(one.jobs[0]!.request.places).toHaveLength(1);
	});

	test("a rest of each band, when the model is there", async () => {
		const scene = createScene({ rests: [1, null] });
		await scene.ready();
		expect(scene.volume.state).toEqual({ state: "waiting", for: "rest" });
		takeRest(scene.bands.get(1)!, 2);
		scene.volume.refresh();
		expect(scene.volume.state).toMatchObject({ state: "ready", wasKept: true, isTrustworthy: true });
		expect(scene.jobs).toHaveLength(1);
	});
});

test("the request numbers electrodes band by band", () => {
	const { volume, jobs } = createScene();
	volume.start();
	const { terminals, places, frequencyHertz } = jobs[0]!.request;
	expect(terminals).toHaveLength(2 * 4 * READINGS);
	expect(Math.max(...terminals.subarray(0, 4 * READINGS))).toBe(15);
	expect(Math.min(...terminals.subarray(4 * READINGS))).toBe(16);
	expect(Math.max(...terminals)).toBe(31);
	expect(places).toHaveLength(2);
	expect(frequencyHertz).toBe(50_000);
});

test("a board whose bands have other electrodes than the set-up's is told so", () => {
	const { volume, bands } = createScene();
	const odd = createLiveBand({ ...bands.get(1)!.configuration, electrodeCount: 8, readingCount: 40 }, null);
	if (!odd.ok) throw new Error(odd.error.kind);
	bands.set(1, odd.value);
	volume.start();
	expect(volume.state).toMatchObject({ state: "failed", fault: { path: "band.electrodeCount" } });
});

describe("while it is made", () => {
	test("it can be given up: the job ends, and nothing of it comes later", async () => {
		const { volume, jobs, settle, streams } = createScene();
		volume.start();
		volume.stop();
		expect(jobs[0]!.signal.aborted).toBe(true);
		jobs[0]!.finish(success(createBuilt(jobs[0]!.request)));
		await settle();
		expect(volume.state).toEqual({ state: "off" });
		expect(streams()).toBe(0);
	});

	test("asking again, and bands that come back as they were, change nothing", () => {
		const { volume, bands, jobs } = createScene();
		volume.start();
		volume.start();
		const kept = [...bands];
		bands.clear();
		volume.refresh();
		for (const [i, band] of kept) bands.set(i, band);
		volume.refresh();
		expect(jobs).toHaveLength(1);
		expect(jobs[0]!.signal.aborted).toBe(false);
	});

	test("what failed says why and is tried again when asked", async () => {
		const { volume, jobs, settle } = createScene();
		volume.start();
		jobs[0]!.finish(failure({ kind: "internal", detail: "x" }));
		await settle();
		expect(volume.state).toEqual({ state: "failed", fault: { kind: "internal", detail: "x" } });
		volume.refresh();
		expect(volume.state).toMatchObject({ state: "failed" });
		expect(jobs).toHaveLength(1);
		volume.start();
		expect(volume.state).toMatchObject({ state: "preparing" });
		expect(jobs).toHaveLength(2);
	});
});

describe("frames of all bands", () => {
	test("become one, fitted to the model: each band by its own factor", async () => {
		const scene = createScene({ rests: [1, 2] });
		await scene.ready();
		scene.frame(0, 1e6, 1.1);
		expect(scene.pushed).toEqual([]);
		scene.frame(1, 1e6, 2);
		// Band 1 reads 1000 Ω at rest where the model reads 500.
		expect(scene.pushed[0]).toMatchObject({ count: 2 * READINGS, first: expect.closeTo(550) });
		expect(scene.pushed[0]!.flags).toBe(
			PictureFlags.volume | PictureFlags.simulated | PictureFlags.newRest | PictureFlags.restart,
		);
	});

	test("wait for no more than two pictures: the newest wins", async () => {
		const scene = createScene();
		await scene.ready();
		for (let i = 0; i < 5; i++) for (const band of [0, 1]) scene.frame(band, i * 1e5, i);
		expect(scene.pushed).toHaveLength(2);
		scene.picture(0);
		for (const band of [0, 1]) scene.frame(band, 6e5, 6);
		expect(scene.pushed.map(({ timeMicros }) => timeMicros)).toEqual([0, 1e5, 6e5]);
	});

	test("are whole pictures only while somebody looks", async () => {
		const scene = createScene();
		await scene.ready();
		const both = (time: number): void => {
			for (const band of [0, 1]) scene.frame(band, time);
		};
		both(0);
		scene.picture(0);
		expect(scene.packets).toEqual([]);
		const end = scene.volume.watch();
		both(1e5);
		scene.picture(1);
		expect(scene.packets).toHaveLength(1);
		end();
		end();
		both(2e5);
		expect(scene.pushed.map(({ withImage }) => withImage)).toEqual([false, true, false]);
	});

	test("make lines that break where frames were missing or rest is another, and begin anew with another board", async () => {
		const scene = createScene();
		await scene.ready();
		const both = (time: number): void => {
			for (const band of [0, 1]) scene.frame(band, time);
			scene.picture(scene.pushed.length - 1);
		};
		both(0);
		both(1e5);
		both(5e6);
		takeRest(scene.bands.get(0)!, 3);
		scene.volume.refresh();
		both(5.1e6);
		expect(scene.volume.trends(100).values).toEqual([[0.5, 0.5, null, 0.5, null, 0.5]]);
		scene.volume.restart();
		both(9e6);
		expect(scene.volume.trends(100).seconds).toEqual([0]);
	});
});

test("a band that falls silent is waited for, and what it gave before is joined with nothing", async () => {
	const scene = createScene();
	await scene.ready();
	for (const band of [0, 1]) scene.frame(band, 0);
	scene.picture(0);
	scene.frame(1, 1e5);
	for (let time = 2e5; time < 1.9e6; time += 1e5) scene.frame(0, time);
	expect(scene.volume.state).toMatchObject({ state: "ready" });
	const before = scene.pushed.length;
	for (let time = 1.9e6; time < 4e6; time += 1e5) scene.frame(0, time);
	expect(scene.volume.state).toEqual({ state: "waiting", for: "bands" });
	// band 1's last one is now old, and so would be band 0's were both away
	scene.frame(1, 9e6);
	expect(scene.pushed).toHaveLength(before);
	scene.frame(0, 9e6);
	expect(scene.pushed).toHaveLength(before + 1);
	expect(scene.volume.state).toMatchObject({ state: "ready" });
});

test("a rest of the opposite sign names the band", async () => {
	const scene = createScene({ rests: [1, -1] });
	await scene.ready();
	expect(scene.volume.state).toMatchObject({
		state: "failed",
		fault: { kind: "invalid-argument", got: expect.stringContaining("band 2") },
	});
});

test("stopping lets go of model, rest and trust", async () => {
	const scene = createScene();
	await scene.ready();
	expect(scene.alive.size).toBe(2);
	scene.volume.stop();
	expect(scene.alive.size).toBe(0);
	expect(scene.volume.geometry(1)).toBeNull();
});

test("geometry is known under the number of the model in use only", async () => {
	const scene = createScene();
	await scene.ready();
	const state = scene.volume.state;
	if (state.state !== "ready") throw new Error(state.state);
	expect(scene.volume.geometry(state.geometryId)).toMatchObject({ geometryId: state.geometryId });
	expect(scene.volume.geometry(state.geometryId + 1)).toBeNull();
});

test("a band that has slid for a while is told, and forgotten with the next rest", async () => {
	const scene = createScene();
	await scene.ready();
	const slips = () => {
		const { state } = scene.volume;
		return state.state === "ready" ? state.slips : null;
	};
	let pictures = 0;
	const play = (from: number, to: number): void => {
		for (let second = from; second < to; second++) {
			for (const band of [0, 1]) scene.frame(band, second * 1e6);
			scene.picture(pictures++, 0.5, [0.0002, 0, -0.005, 0]);
		}
	};
	play(0, 10);
	expect(slips()).toEqual([]);
	play(10, 40);
	expect(slips()).toMatchObject([{ bands: [1, 0], isOne: true }]);
	for (const [i, band] of scene.bands) takeRest(band, 1 + 0.01 * (i + 1));
	scene.volume.refresh();
	expect(slips()).toEqual([]);
});
