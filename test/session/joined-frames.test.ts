import { expect, test } from "vitest";
import { fitToModel, restInOhm } from "../../app/session/fit-to-model.ts";
import { createJoinedFrames } from "../../app/session/joined-frames.ts";
import { createJoinedTrust } from "../../app/session/joined-trust.ts";
import { createLiveBand, type LiveBand } from "../../app/session/live-band.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";

/** 1 V for each unit at 0.5 mA: 2000 Ω for each unit. */
function createBand(bandIndex: number, median: number[] | null = null, noise = 0.001): LiveBand {
	const configuration: DriveConfiguration = {
		configuration: bandIndex,
		bandIndex,
		electrodeCount: 8,
		drive: "listed",
		terminals: "four-terminal",
		readingCount: 2,
		listedTerminals: Uint16Array.of(0, 1, 2, 3, 0, 1, 3, 4),
		currentMilliamp: 0.5,
		frequencyHertz: 50_000,
		gain: 1,
		voltsPerUnit: 1,
		fullScale: 0,
	};
	const band = createLiveBand(configuration, null);
	if (!band.ok) throw new Error(band.error.kind);
	if (median === null) return band.value;
	const rest = {
		median: Float64Array.from(median),
		noise: Float64Array.from(median, () => noise),
		frames: 10,
	} as unknown as NonNullable<LiveBand["baseline"]>["rest"];
	const baseline = { rest, configuration, takenAt: 0, seconds: 2, automatic: true, followedFrom: null };
	return { ...band.value, baseline };
}

const frameOf = (bandIndex: number, values: readonly number[], timeMicros = 0) => ({
	bandIndex,
	timeMicros,
	values: Float64Array.from(values),
});

test("frames of all bands make one in ohm, in the bands' order, once each has a new one", () => {
	const joined = createJoinedFrames([createBand(0), createBand(1)]);
	expect(joined.add(frameOf(1, [3, 4]))).toBe(false);
	expect(joined.add(frameOf(1, [5, 6]))).toBe(false);
	expect(joined.add(frameOf(0, [1, 2]))).toBe(true);
	expect(Array.from(joined.values)).toEqual([2000, 4000, 10_000, 12_000]);
	expect(joined.add(frameOf(0, [1, 2]))).toBe(false);
	expect(joined.add(frameOf(1, [7, 8]))).toBe(true);
});

test("frames of another band or length are left out", () => {
	const joined = createJoinedFrames([createBand(0)]);
	expect(joined.add(frameOf(2, [1, 2]))).toBe(false);
	expect(joined.add(frameOf(0, [1, 2, 3]))).toBe(false);
	expect(joined.add(frameOf(0, [1, 2]))).toBe(true);
});

test("frames more than a second apart make none together, and a band without any for two is waited for", () => {
	const joined = createJoinedFrames([createBand(0), createBand(1)]);
	expect(joined.add(frameOf(0, [1, 2], 0))).toBe(false);
	expect(joined.add(frameOf(1, [1, 2], 1.1e6))).toBe(false);
	expect(joined.isWaiting).toBe(false);
	expect(joined.add(frameOf(1, [1, 2], 2.1e6))).toBe(false);
	expect(joined.isWaiting).toBe(true);
	expect(joined.add(frameOf(0, [1, 2], 3e6))).toBe(true);
	expect(joined.isWaiting).toBe(false);
	// all were away
	expect(joined.add(frameOf(1, [1, 2], 60e6))).toBe(false);
	expect(joined.isWaiting).toBe(false);
	expect(joined.add(frameOf(0, [1, 2], 60e6))).toBe(true);
});

test("each band's rest is fitted to the model by the factor of least squares", () => {
	// Band 1 reads half of what the model does, band 2 three times as much.
	const bands = [createBand(0, [0.5, 1]), createBand(1, [-9, 3])];
	const model = Float64Array.of(2000, 4000, -6000, 2000);
	const fit = fitToModel(bands.map(restInOhm), model);
	if (typeof fit === "number") throw new Error("does not fit");
	expect(Array.from(fit.scale)).toEqual([2, 2, 1 / 3, 1 / 3].map((v) => expect.closeTo(v, 12) as number));
	expect(Array.from(fit.rest)).toEqual(Array.from(model, (v) => expect.closeTo(v, 8) as number));
	// 2 Ω of noise in each reading, made 4 Ω in two and 2/3 Ω in two.
	expect(fit.noise).toBeCloseTo(Math.sqrt((2 * 4 ** 2 + 2 * (2 / 3) ** 2) / 4), 9);
});

test("a band that reads the opposite of the model is named", () => {
	const bands = [createBand(0, [0.5, 1]), createBand(1, [9, -3])];
	expect(fitToModel(bands.map(restInOhm), Float64Array.of(2000, 4000, -6000, 2000))).toBe(1);
});

test("what one band is to do without is left out of all bands' readings, from when it is said on", () => {
	const bands = [createBand(0), createBand(1)];
	const trust = createJoinedTrust(bands);
	expect(trust.hasChanged()).toBe(true);
	expect(trust.kept()).toBeNull();
	expect(trust.hasChanged()).toBe(false);
	const leftOut = { ...bands[1]!.watch.leftOut, kept: Float64Array.of(0, 1) };
	const lost = createJoinedTrust([bands[0]!, { ...bands[1]!, watch: { ...bands[1]!.watch, leftOut } }]);
	expect(lost.hasChanged()).toBe(true);
	expect(lost.kept()).toEqual(Float64Array.of(1, 1, 0, 1));
});
