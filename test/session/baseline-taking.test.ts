import { describe, expect, test } from "vitest";
import type { Fault } from "../../app/contract.ts";
import { createBaselineTaking } from "../../app/session/baseline-taking.ts";
import { createLiveBand, type LiveBand, type LiveBaseline } from "../../app/session/live-band.ts";
import type { Result } from "../../core/result.ts";
import { createFakeClock } from "./fake-clock.ts";
import { plainConfiguration } from "./memory-source.ts";

function createBand(bandIndex = 0): LiveBand {
	const band = createLiveBand({ ...plainConfiguration, bandIndex }, null);
	if (!band.ok) throw new Error(band.error.kind);
	return band.value;
}

function createScene() {
	const clock = createFakeClock();
	const taken: { band: LiveBand; baseline: LiveBaseline }[] = [];
	const taking = createBaselineTaking(clock, {
		onBaseline(band, baseline) {
			band.baseline = baseline;
			taken.push({ band, baseline });
		},
		onProgress: () => undefined,
	});
	let frame = 0;
	/** Some 30 frames a second of a level that `level` gives for each frame, none where it is null, with a little noise from a fixed sequence. */
	function play(
		seconds: number,
		bands: readonly LiveBand[],
		level: (frame: number, band: LiveBand) => number | null = () => 1,
	): void {
		for (let i = 0; i < seconds * 30; i++) {
			frame++;
			for (const band of bands) {
				const middle = level(i, band);
				if (middle === null) continue;
				const values = new Float64Array(208);
				for (let r = 0; r < 208; r++) values[r] = middle + 0.001 * Math.sin(1e4 * Math.sin(frame * 208 + r));
				taking.add(band, {
					bandIndex: band.bandIndex,
					sequence: frame,
					timeMicros: Math.round(frame * 33_333.3),
					configuration: 1,
					values,
				});
			}
			clock.turn(1000 / 30);
		}
	}
	return { clock, taken, taking, play };
}

/** What a promise has come to so far. */
async function outcome(promise: Promise<Result<null, Fault>>): Promise<Result<null, Fault> | "waiting"> {
	return Promise.race([promise, new Promise<"waiting">((resolve) => setImmediate(() => resolve("waiting")))]);
}

describe("the automatic baseline", () => {
	test("is taken once from the first two seconds of steady frames", () => {
		const { taken, play } = createScene();
		const band = createBand();
		play(1.6, [band]);
		expect(taken).toHaveLength(0);
		play(0.4, [band]);
		expect(taken).toHaveLength(1);
		expect(taken[0]?.baseline).toMatchObject({ automatic: true });
		expect(taken[0]?.baseline.rest.median[0]).toBeCloseTo(1, 3);
		play(5, [band]);
		expect(taken).toHaveLength(1);
	});

	test("waits until the person sits still", () => {
		const { taken, play } = createScene();
		const band = createBand();
		play(4, [band], (frame) => 1 + frame / 100);
		expect(taken).toHaveLength(0);
		play(4, [band]);
		expect(taken).toHaveLength(1);
	});

	test("is taken of all bands at the same time, once all are steady", () => {
		const { taken, play } = createScene();
		const bands = [createBand(0), createBand(1)];
		play(2, bands, (frame, { bandIndex }) => (bandIndex === 1 ? 1 + frame / 30 : 1));
		expect(taken).toHaveLength(0);
		play(4, bands);
		expect(taken.map(({ band }) => band.bandIndex)).toEqual([0, 1]);
		expect(taken[0]!.baseline.takenAt).toBe(taken[1]!.baseline.takenAt);
	});

	test.each<[string, (frame: number, band: LiveBand) => number | null]>([
		["has fallen silent", (frame, { bandIndex }) => (bandIndex === 1 && frame > 20 ? null : 1)],
		["is never steady", (frame, { bandIndex }) => (bandIndex === 1 ? 1 + frame / 30 : 1)],
	])("does not wait for ever for a band that %s", (_, level) => {
		const { taken, play } = createScene();
		play(12, [createBand(0), createBand(1)], level);
		expect(taken.map(({ band }) => band.bandIndex)).toEqual([0]);
	});

	test("does not reach over a break of the stream", () => {
		const { taken, taking, play } = createScene();
		const band = createBand();
		play(1, [band]);
		taking.interrupt({ kind: "not-connected" });
		play(1, [band]);
		expect(taken).toHaveLength(0);
	});
});

describe("a baseline that is asked for", () => {
	test("counts down and replaces the automatic one", async () => {
		const { taken, taking, play } = createScene();
		const band = createBand();
		play(2, [band]);
		const asked = taking.take([band], 3, undefined);
		expect(taking.secondsLeft).toBe(3);
		play(1.5, [band], () => 2);
		expect(taking.secondsLeft).toBe(2);
		play(1.6, [band], () => 2);
		expect(await outcome(asked)).toEqual({ ok: true, value: null });
		expect(taking.secondsLeft).toBeNull();
		expect(taken.at(-1)?.baseline).toMatchObject({ automatic: false, seconds: 3 });
		expect(band.baseline?.rest.median[0]).toBeCloseTo(2, 3);
	});

	test("is refused with how far the readings moved, and the old one stays", async () => {
		const { taken, taking, play } = createScene();
		const band = createBand();
		play(2, [band]);
		const before = band.baseline;
		const asked = taking.take([band], 2, undefined);
		play(2.1, [band], (frame) => (frame > 20 && frame < 40 ? 1.05 : 1));
		const result = await outcome(asked);
		expect(result).toMatchObject({ ok: false, error: { kind: "baseline-not-steady" } });
		if (result === "waiting" || result.ok || result.error.kind !== "baseline-not-steady") return;
		expect(result.error.driftPercent).toBeGreaterThan(3);
		expect(result.error.driftPercent).toBeLessThan(7);
		expect(taken).toHaveLength(1);
		expect(band.baseline).toBe(before);
	});

	test("is taken for all bands or for none", async () => {
		const { taken, taking, play } = createScene();
		const still = createBand(0);
		const moving = createBand(1);
		const asked = taking.take([still, moving], 2, undefined);
		for (let i = 0; i < 32; i++) {
			play(1 / 30, [still]);
			play(1 / 30, [moving], () => 1 + i / 50);
		}
		expect(await outcome(asked)).toMatchObject({ ok: false, error: { kind: "baseline-not-steady" } });
		expect(taken).toHaveLength(0);
	});

	test("does not wait for a band that gives nothing", async () => {
		const { clock, taken, taking, play } = createScene();
		const band = createBand(0);
		const asked = taking.take([band, createBand(1)], 2, undefined);
		play(2.5, [band]);
		expect(await outcome(asked)).toBe("waiting");
		clock.turn(2000);
		expect(await outcome(asked)).toEqual({ ok: true, value: null });
		expect(taken).toHaveLength(1);
	});

	test.each<[string, Fault["kind"], (scene: ReturnType<typeof createScene>, abort: AbortController) => void]>(
		[
			["the frames stop", "no-data", ({ clock }) => clock.turn(5000)],
			["the link breaks", "not-connected", ({ taking }) => taking.interrupt({ kind: "not-connected" })],
			["it is cancelled", "cancelled", (_, abort) => abort.abort()],
			["another is asked for", "cancelled", ({ taking }) => void taking.take([createBand()], 2, undefined)],
		],
	)("settles when %s", async (_, kind, happen) => {
		const scene = createScene();
		const abort = new AbortController();
		const asked = scene.taking.take([createBand()], 2, abort.signal);
		happen(scene, abort);
		expect(await outcome(asked)).toMatchObject({ ok: false, error: { kind } });
	});

	test("keeps long windows of large frames small", async () => {
		const { taking, taken, play } = createScene();
		const band = createBand();
		for (let i = 0; i < 90; i++) band.meter.count(i * 33 + Date.UTC(2026, 2, 1, 9) - 3000, 0);
		const asked = taking.take([band], 30, undefined);
		play(30.1, [band]);
		expect(await outcome(asked)).toEqual({ ok: true, value: null });
		expect(taken[0]?.baseline.rest.frames).toBeLessThanOrEqual(529);
		expect(taken[0]?.baseline.rest.frames).toBeGreaterThan(400);
	});
});
