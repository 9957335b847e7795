import { describe, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";
import { judgeContacts } from "../../core/signal/contact.ts";
import {
	judgeQuality,
	type QualityFacts,
	saturatedShare,
	signalToNoiseDecibel,
} from "../../core/signal/quality.ts";
import { createRateMeter } from "../../core/signal/rate.ts";
import { reciprocityPercent } from "../../core/signal/reciprocity.ts";

const good: QualityFacts = {
	framesPerSecond: 30,
	lostShare: 0,
	signalToNoiseDecibel: 70,
	reciprocityPercent: 0.5,
	electrodesOff: 0,
	electrodesPoor: 0,
	saturatedShare: 0,
	electrodesLeftOut: [],
	isTrustworthy: true,
};

// The bounds are common practice without a published source; they are said in core/signal/quality.ts.
describe("the verdict on a link", () => {
	test.each<[Partial<QualityFacts>, string, string]>([
		[{}, "good", "all readings steady"],
		[{ framesPerSecond: 0 }, "unknown", "no frames arrive"],
		[{ signalToNoiseDecibel: null }, "unknown", "no rest baseline yet"],
		[{ reciprocityPercent: null }, "good", "all readings steady"],
		[{ reciprocityPercent: 2 }, "good", "all readings steady"],
		[{ reciprocityPercent: 2.1 }, "fair", "reciprocity error 2.1 %"],
		[{ reciprocityPercent: 5.1 }, "poor", "reciprocity error 5.1 %"],
		[{ signalToNoiseDecibel: 59 }, "fair", "signal only 59 dB above its noise"],
		[{ signalToNoiseDecibel: 39 }, "poor", "signal only 39 dB above its noise"],
		[{ lostShare: 0.02 }, "good", "all readings steady"],
		[{ lostShare: 0.05 }, "fair", "5.0 % of the frames are lost"],
		[{ lostShare: 0.25 }, "poor", "25 % of the frames are lost"],
		[{ electrodesPoor: 1 }, "fair", "poor contact at 1 electrode"],
		[{ electrodesOff: 2, electrodesPoor: 1 }, "poor", "2 electrodes off the skin"],
		[{ saturatedShare: 0.03 }, "poor", "3.0 % of the readings are at the converter's limit"],
		[{ electrodesLeftOut: [7] }, "fair", "electrode 7 is left out"],
		[
			{ electrodesLeftOut: [3, 7, 9], isTrustworthy: false },
			"poor",
			"check the band: electrodes 3, 7, 9 are left out",
		],
		[{ isTrustworthy: false }, "poor", "check the band: too many readings are left out"],
		[{ framesPerSecond: 8 }, "fair", "only 8.0 frames a second"],
		[{ framesPerSecond: 8, lostShare: 0.5 }, "poor", "50 % of the frames are lost"],
	])("%o is %s: %s", (facts, overall, reason) => {
		expect(judgeQuality({ ...good, ...facts })).toEqual({ overall, reason });
	});
});

test("signal to noise is 20·log10 of the ratio, median over the readings", () => {
	// 1000 : 1 is 60 dB, 10 000 : 1 is 80 dB, by definition of the decibel.
	const median = Float64Array.of(1, -1, 1, 1);
	const noise = Float64Array.of(1e-3, 1e-3, 1e-4, 1e-9);
	expect(signalToNoiseDecibel(median, noise, Uint32Array.of(0, 1, 2))).toBeCloseTo(60, 9);
	expect(signalToNoiseDecibel(median, noise, Uint32Array.of(2))).toBeCloseTo(80, 9);
	expect(
		signalToNoiseDecibel(median, noise, Uint32Array.of(0, 1, 2), Float64Array.of(0, 0, 1, 1)),
	).toBeCloseTo(80, 9);
	expect(signalToNoiseDecibel(median, noise, Uint32Array.of(0), Float64Array.of(0, 1, 1, 1))).toBeNull();
});

test("readings from 98 % of full scale on count as saturated", () => {
	expect(saturatedShare(Float64Array.of(0.97, 0.98, -1, 0), 1)).toBe(0.5);
	expect(saturatedShare(Float64Array.of(5, 5), 0)).toBe(0);
});

describe("reciprocity", () => {
	const pattern = createPattern(16, "adjacent");
	const pairs = findReciprocalPairs(pattern);
	const scratch = new Float64Array(pairs.count);

	test("is exact for 16 point electrodes on a disc", () => {
		// V = (1/π) ln[(d(k,1)·d(k+1,0))/(d(k,0)·d(k+1,1))], the closed form for point electrodes on a homogeneous disc.
		const chord = (a: number, b: number): number => 2 * Math.abs(Math.sin((Math.PI * (a - b)) / 16));
		const { terminals } = pattern;
		const values = new Float64Array(terminals.length / 4);
		for (let r = 0; r < values.length; r++) {
			const [s, t, p, m] = terminals.subarray(4 * r, 4 * r + 4) as unknown as [
				number,
				number,
				number,
				number,
			];
			values[r] = Math.log((chord(p, t) * chord(m, s)) / (chord(p, s) * chord(m, t))) / Math.PI;
		}
		expect(pairs.count).toBe(104);
		expect(reciprocityPercent(values, pairs, scratch)).toBeLessThan(1e-9);
	});

	test("of 1.02 mV against 0.98 mV is 4 %", () => {
		// e = 2·|1.02 − 0.98| / (1.02 + 0.98) by the definition in core/signal/reciprocity.ts.
		const values = new Float64Array(208);
		for (let pair = 0; pair < pairs.count; pair++) {
			values[pairs.first[pair]!] = 1.02e-3;
			values[pairs.second[pair]!] = pairs.sign[pair]! * 0.98e-3;
		}
		expect(reciprocityPercent(values, pairs, scratch)).toBeCloseTo(4, 9);
	});

	test("is unknown where the pattern has no pairs", () => {
		const twoTerminal = createPattern(16, "adjacent", "two-terminal");
		const none = findReciprocalPairs(twoTerminal);
		expect(reciprocityPercent(new Float64Array(120), none, new Float64Array(none.count))).toBeNull();
	});
});

test("contacts are judged by their level and by how they stand out", () => {
	const ohm = Float64Array.of(200, 250, 220, 900, 1500, 5000, 20_000, Number.NaN, -3);
	expect(judgeContacts(ohm)).toEqual(["good", "good", "good", "good", "fair", "poor", "off", "off", "off"]);
	expect(judgeContacts(Float64Array.of(100, 100, 100, 100, 400))).toEqual([
		"good",
		"good",
		"good",
		"good",
		"fair",
	]);
});

describe("the frame rate", () => {
	test("is that of the last seconds", () => {
		const meter = createRateMeter(2000);
		for (let i = 0; i <= 300; i++) meter.count(5000 + i * 50, 0);
		expect(meter.framesPerSecond(20_049)).toBeCloseTo(20, 0);
		for (let i = 1; i <= 300; i++) meter.count(20_000 + i * 25, 0);
		expect(meter.framesPerSecond(27_500)).toBeCloseTo(40, 0);
		expect(meter.framesPerSecond(29_900)).toBeLessThan(10);
		expect(meter.framesPerSecond(40_000)).toBe(0);
	});

	test("does not start low while the window fills", () => {
		const meter = createRateMeter(2000);
		for (let i = 0; i < 20; i++) meter.count(i * 33, 0);
		expect(meter.framesPerSecond(20 * 33)).toBeCloseTo(30, 0);
	});

	test("is the same when the clock was set back, and still 0 when nothing comes", () => {
		const meter = createRateMeter(2000);
		for (let i = 0; i <= 100; i++) meter.count(3_600_000 + i * 50, 0);
		for (let i = 0; i <= 100; i++) meter.count(5000 + i * 50, 0);
		expect(meter.framesPerSecond(10_049)).toBeCloseTo(20, 0);
		expect(meter.framesPerSecond(13_000)).toBe(0);
	});

	test("knows the share that was lost, and forgets it", () => {
		const meter = createRateMeter(2000);
		for (let i = 0; i < 60; i++) meter.count(i * 33, i % 3 === 0 ? 1 : 0);
		expect(meter.lostShare(60 * 33)).toBeCloseTo(0.25, 2);
		for (let i = 60; i < 180; i++) meter.count(i * 33, 0);
		expect(meter.lostShare(180 * 33)).toBe(0);
		meter.clear();
		expect(meter.framesPerSecond(180 * 33)).toBe(0);
	});
});
