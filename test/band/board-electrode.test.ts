import { expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import {
	boardElectrode,
	electrodeText,
	numberOfOther,
	ownReadings,
} from "../../core/band/board-electrode.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";

test("every electrode of four bands of 64 has a number of its own in each band's pattern, and its own band's is plain", () => {
	for (let own = 0; own < 4; own++) {
		const seen = new Set<number>();
		for (let band = 0; band < 4; band++) {
			for (let electrode = 0; electrode < 64; electrode++) {
				const number = band === own ? electrode : numberOfOther({ band, electrode });
				expect(boardElectrode(number, own)).toEqual({ band, electrode });
				expect(electrodeText(number)).toBe(band === own ? `${electrode}` : `${band}:${electrode}`);
				seen.add(number);
			}
		}
		expect(seen.size).toBe(256);
		expect(Math.max(...seen)).toBeLessThan(2 ** 16);
	}
});

test("a mixed pattern's own readings are those of the band alone, and only they have partners", () => {
	const own = createPattern(16, "adjacent").terminals;
	const across = createBandsPattern([16, 16], "adjacent").terminals.subarray(0, 4 * 29);
	const number = (joined: number) =>
		joined < 16 ? joined : numberOfOther({ band: 1, electrode: joined - 16 });
	const mixed = Uint16Array.from([...across.map(number), ...own]);
	const pattern = { name: "", electrodeCount: 16, terminals: mixed };
	// 13 of the first drive's readings and all 208 of the band's own pattern
	expect(ownReadings(pattern).length).toBe(13 + 208);
	const pairs = findReciprocalPairs(pattern);
	for (const r of [...pairs.first, ...pairs.second]) expect(ownReadings(pattern)).toContain(r);
	expect(pairs.count).toBeGreaterThanOrEqual(104);
});
