import { describe, expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";

const rowsOf = (terminals: Uint16Array) =>
	Array.from({ length: terminals.length / 4 }, (_, r) => Array.from(terminals.subarray(4 * r, 4 * r + 4)));

describe("patterns of several bands", () => {
	test.each([
		[[16, 16], "adjacent", 928],
		[[8], "adjacent", 8 * 5],
		[[32, 32, 32, 32], "adjacent", 128 * (29 + 3 * 32)],
		// drive 0–3 touches three pairs: 0–3, 3–6 and that which ends at 0
		[[8, 12], "skip-2", 8 * (5 + 12) + 12 * (8 + 9)],
		// opposite drives, 4 and 4, read by adjacent pairs
		[[8, 8], "opposite", 8 * (4 + 8)],
	] as const)("%j %s: %d readings, none through a driven electrode", (counts, rule, readings) => {
		const rows = rowsOf(createBandsPattern(counts, rule).terminals);
		expect(rows).toHaveLength(readings);
		for (const row of rows) expect(new Set(row).size).toBe(4);
	});

	test("one band reads what a single band's pattern reads, in another order", () => {
		const own = new Set(rowsOf(createBandsPattern([16], "adjacent").terminals).map(String));
		expect(own).toEqual(new Set(rowsOf(createPattern(16, "adjacent").terminals).map(String)));
	});

	test("every reading of adjacent drives has its reciprocal", () => {
		expect(findReciprocalPairs(createBandsPattern([16, 16], "adjacent")).count).toBe(464);
	});

	test("drives across bands come last and are read by all pairs that they leave free", () => {
		const { terminals } = createBandsPattern([16, 16], "adjacent", "within-and-across");
		const rows = rowsOf(terminals).slice(928);
		expect(rows).toHaveLength(16 * (14 + 14));
		expect(rows.every(([source, sink]) => sink === source! + 16)).toBe(true);
	});

	test("refuses drives across bands of different counts", () => {
		expect(() => createBandsPattern([16, 8], "adjacent", "within-and-across")).toThrow(
			"bands 1 and 2 have 16 and 8 electrodes",
		);
	});
});
