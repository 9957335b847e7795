import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createTaper } from "../../core/limb/taper.ts";

const readings = fc
	.uniqueArray(fc.integer({ min: 0, max: 60 }), { minLength: 1, maxLength: 6 })
	.chain((heights) =>
		fc.tuple(
			...heights.map((cm) =>
				fc.record({
					z: fc.constant(cm / 100),
					circumference: fc.double({ min: 0.3, max: 0.7, noNaN: true }),
				}),
			),
		),
	);

describe("a limb's taper", () => {
	test("goes through every reading, in whatever order they come, and never beyond its neighbours", () => {
		fc.assert(
			fc.property(readings, fc.double({ min: -0.2, max: 0.8, noNaN: true }), (tape, z) => {
				const taper = createTaper(tape);
				for (const reading of tape)
					expect(taper.circumferenceAt(reading.z)).toBeCloseTo(reading.circumference, 12);
				const sorted = [...tape].sort((a, b) => a.z - b.z);
				const above = sorted.find((reading) => reading.z >= z) ?? sorted.at(-1)!;
				const below = sorted.findLast((reading) => reading.z <= z) ?? sorted[0]!;
				const value = taper.circumferenceAt(z);
				expect(value).toBeGreaterThanOrEqual(Math.min(above.circumference, below.circumference) - 1e-12);
				expect(value).toBeLessThanOrEqual(Math.max(above.circumference, below.circumference) + 1e-12);
			}),
		);
	});

	test("two readings make a cone, one a limb of one thickness", () => {
		const cone = createTaper([
			{ z: 0.3, circumference: 0.6 },
			{ z: 0.1, circumference: 0.4 },
		]);
		expect(cone.circumferenceAt(0.15)).toBeCloseTo(0.45, 12);
		expect(cone.circumferenceAt(0.9)).toBe(0.6);
		expect(createTaper([{ z: 0.1, circumference: 0.5 }]).circumferenceAt(-1)).toBe(0.5);
	});

	test.each([
		[[], "at least one circumference"],
		[[{ z: 0.1, circumference: 0.01 }], "a circumference is 0.05 to 3 m, got 0.01"],
		[[{ z: Number.NaN, circumference: 0.5 }], "a height must be a number"],
		[
			[
				{ z: 0.1, circumference: 0.5 },
				{ z: 0.1, circumference: 0.5 },
			],
			"two circumferences were taken at one place, 0.1 m along the limb",
		],
	])("refuses %j", (tape, sentence) => {
		expect(() => createTaper(tape)).toThrow(sentence);
	});
});
