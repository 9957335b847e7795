/**
 * IEC 60601-1:2005+A1+A2, clause 8.7.3 and table 3: 100 µA a.c. patient auxiliary current for type BF in normal
 * condition, read through the measuring device of figure 12, and 10 mA unweighted (clause, table and figure numbers and
 * component values from memory; the 100 µA agrees with limits that makers of medical devices publish).
 */
import { describe, expect, test } from "vitest";
import {
	checkCurrent,
	currentLimit,
	defaultWorkingLimitAmpere,
	standardLimit,
} from "../../core/safety/current-limit.ts";

describe("the standard's limit", () => {
	test.each([
		[500, 0.1],
		[1000, 0.1],
		[7000, 0.7],
		[10_000, 1],
		[50_000, 5],
		[100_000, 10],
		[150_000, 10],
	])("at %i Hz is %f mA", (hertz, milliamp) => {
		expect(standardLimit(hertz) * 1000).toBeCloseTo(milliamp, 9);
	});

	test("is never above what the measuring device's network allows", () => {
		// Figure 12: R2 = 1 kΩ over the source, R1 = 10 kΩ with C1 = 15 nF behind it, |V/I| = R2 / √(1 + (f/fc)²).
		const corner = 1 / (2 * Math.PI * (10_000 + 1000) * 15e-9);
		for (let hertz = 100; hertz < 95_000; hertz *= 1.1) {
			const network = 100e-6 * Math.hypot(1, hertz / corner);
			expect(standardLimit(hertz)).toBeLessThanOrEqual(Math.min(network, 10e-3));
		}
	});

	test.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("refuses a frequency of %f Hz", (hertz) => {
		expect(() => standardLimit(hertz)).toThrow(RangeError);
	});
});

describe("the limit in force", () => {
	test("is a fifth of the standard's at 50 kHz, and the standard's where that is lower", () => {
		expect(currentLimit(50_000)).toBe(standardLimit(50_000) / 5);
		expect(currentLimit(2000)).toBe(standardLimit(2000));
		expect(currentLimit(1_000_000)).toBe(defaultWorkingLimitAmpere);
	});

	test("a larger working limit does not lift the standard's", () => {
		expect(currentLimit(50_000, 1)).toBe(standardLimit(50_000));
	});

	test.each([
		["at the limit", 1e-3, 50_000, true],
		["a current of 1000 µA turned into ampere", 1000 / 1000 / 1000, 50_000, true],
		["one µA above", 1.001e-3, 50_000, false],
		["the same current at a lower frequency", 1e-3, 5000, false],
		["no current", 0, 50_000, true],
		["a negative current", -1e-3, 50_000, false],
		["no number", Number.NaN, 50_000, false],
		["a frequency of zero", 1e-3, 0, false],
		["a frequency that is no number", 1e-3, Number.NaN, false],
		["an infinite frequency", 1e-3, Number.POSITIVE_INFINITY, false],
	])("%s", (_, ampere, hertz, isAllowed) => {
		expect(checkCurrent(ampere, hertz).ok).toBe(isAllowed);
	});

	test("a refusal carries the figures", () => {
		expect(checkCurrent(2e-3, 5000)).toEqual({
			ok: false,
			error: {
				kind: "over-current-limit",
				currentAmpere: 2e-3,
				limitAmpere: standardLimit(5000),
				frequencyHertz: 5000,
			},
		});
	});
});
