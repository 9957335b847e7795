import { describe, expect, test } from "vitest";
import { acrossPattern, listedFor, mayReadAcross } from "../../app/link/simulated/across-pattern.ts";
import { lieApart } from "../../app/link/simulated/band-levels.ts";
import { isOwnReading } from "../../core/band/board-electrode.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { mostReadings } from "../../core/wire/limits.ts";

describe("what a simulated board of several bands reads", () => {
	test.each([
		[16, 2, [576, 464]],
		[8, 2, [128, 104]],
		[24, 2, [924, 504]],
		[16, 3, [392, 392, 208]],
		[16, 4, [392, 392, 392, 208]],
	])("%i electrodes on each of %i bands: %j readings", (electrodeCount, bandCount, counts) => {
		expect(mayReadAcross(electrodeCount, bandCount)).toBe(true);
		for (const [own, count] of counts.entries()) {
			const pattern = acrossPattern(electrodeCount, bandCount, own);
			const { terminals } = pattern;
			expect(terminals.length).toBe(4 * count);
			expect(count).toBeLessThanOrEqual(mostReadings);
			for (let r = 0; r < count; r++) expect(new Set(terminals.subarray(4 * r, 4 * r + 4)).size).toBe(4);
			// the band's own part is what it would read alone
			const listed = { terminals: listedFor(own, electrodeCount, pattern), electrodeCount };
			const rows = Array.from({ length: count }, (_, r) => r).filter((r) => isOwnReading(listed, r));
			const keys = rows.map((r) => listed.terminals.subarray(4 * r, 4 * r + 4).join());
			const alone = createPattern(electrodeCount, "adjacent").terminals;
			const wanted = Array.from({ length: alone.length / 4 }, (_, r) =>
				alone.subarray(4 * r, 4 * r + 4).join(),
			);
			expect(new Set(keys)).toEqual(new Set(wanted));
			expect(keys.length).toBe(wanted.length);
		}
	});

	test("is by sections where a volume would take minutes, with one band, and where bands would lie on each other", () => {
		expect(mayReadAcross(16, 1)).toBe(false);
		expect(mayReadAcross(32, 2)).toBe(false);
		expect(mayReadAcross(24, 3)).toBe(false);
		expect([2, 3, 4].map((bandCount) => lieApart(0.5, bandCount))).toEqual([true, true, true]);
		expect([1, 2].map((bandCount) => lieApart(0.15, bandCount))).toEqual([true, false]);
		expect(lieApart(0.9, 3)).toBe(false);
	});
});
