import { describe, expect, test } from "vitest";
import { createBandSlips } from "../../core/signal/band-slips.ts";
import { volumeWords } from "../../renderer/text/volume-words.ts";

const degrees = Math.PI / 180;

/** Four pictures a second. @returns what is told at the end */
function play(
	parts: readonly { readonly seconds: number; readonly moves: readonly number[] }[],
	order: readonly number[] = [0, 1],
) {
	const slips = createBandSlips(order);
	let now = 0;
	for (const { seconds, moves } of parts)
		for (let i = 0; i < 4 * seconds; i++) {
			slips.take(now, moves);
			now += 0.25;
		}
	return slips.slips;
}

describe("bands that lost their place", () => {
	test.each([
		["what cannot be told from none", [0.0025, 1.5 * degrees, 0, 0]],
		["what both do alike", [0.008, 4 * degrees, 0.007, 3.5 * degrees]],
	])("%s is not said", (_, moves) => {
		expect(play([{ seconds: 60, moves }])).toEqual([]);
	});

	test("a contraction that looks like a slide ends before it is said", () => {
		const work = { seconds: 12, moves: [0.004, 0, 0, 0] };
		const rest = { seconds: 6, moves: [0, 0, 0, 0] };
		expect(play([rest, work, rest, work, rest, work])).toEqual([]);
	});

	test("one band's slide names that band, from either side", () => {
		const [upper] = play([{ seconds: 60, moves: [0, 0, -0.006, 0] }]);
		expect(upper).toMatchObject({ bands: [1, 0], isOne: true, turnedRad: 0 });
		expect(upper!.nearerMetre).toBeCloseTo(0.006);
		const [lower] = play([{ seconds: 60, moves: [-0.006, 0, 0.0005, 0] }]);
		expect(lower).toMatchObject({ bands: [0, 1], isOne: true });
		expect(lower!.nearerMetre).toBeCloseTo(-0.0065);
		expect(volumeWords.slipped(lower!)).toBe(
			"Band 1 has slid about 7 mm away from band 2 since the rest baseline. Put it back, or retake the rest baseline.",
		);
	});

	test("where both may have moved none is named alone", () => {
		const [slip] = play([{ seconds: 60, moves: [0.004, 0, -0.004, 0] }]);
		expect(slip).toMatchObject({ isOne: false });
		expect(volumeWords.slipped(slip!)).toContain(
			"are about 8 mm nearer to each other since the rest baseline.",
		);
	});

	test("a twist is said with the band that turned more", () => {
		const [slip] = play([{ seconds: 60, moves: [0, 0.5 * degrees, 0, -4 * degrees] }]);
		expect(slip).toMatchObject({ bands: [1, 0], nearerMetre: 0 });
		expect(volumeWords.slipped(slip!)).toContain("Band 2 has turned by about 5° against band 1 since");
	});

	test("bands numbered downwards are told by their places", () => {
		const [slip] = play([{ seconds: 60, moves: [-0.006, 0, 0, 0] }], [1, 0]);
		expect(slip!.bands).toEqual([0, 1]);
		expect(slip!.nearerMetre).toBeCloseTo(0.006);
	});

	test("a band that is put back is said no longer", () => {
		const away = { seconds: 60, moves: [0.006, 0, 0, 0] };
		expect(play([away, { seconds: 40, moves: [0.0005, 0, 0, 0] }])).toEqual([]);
	});
});
