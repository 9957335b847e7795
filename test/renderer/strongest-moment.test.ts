import { expect, test } from "vitest";
import { strongestMoment } from "../../renderer/strongest-moment.ts";

const regions = [
	{ id: "a", name: "A" },
	{ id: "b", name: "B" },
];

test("is where any region has changed most, whichever way", () => {
	const values = [
		[0, 0.001, null, 0.002],
		[0, -0.004, null, 0.001],
	];
	expect(strongestMoment({ regions, seconds: [0, 1, 2, 3], values })).toBe(1);
});

test("is nowhere in a recording that shows nothing", () => {
	expect(strongestMoment({ regions, seconds: [], values: [[], []] })).toBeNull();
	expect(strongestMoment({ regions: [], seconds: [0], values: [] })).toBeNull();
	expect(
		strongestMoment({
			regions,
			seconds: [0, 1],
			values: [
				[null, null],
				[0, 0],
			],
		}),
	).toBeNull();
});
