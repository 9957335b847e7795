import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Band } from "../../core/band/band.ts";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import { createOutline } from "../../core/limb/outline.ts";

const circle = createOutline({ type: "circle", radius: 0.08 });
const ellipse = createOutline({ type: "ellipse", a: 0.1, b: 0.06 });
const band = (changes: Partial<Band> = {}): Band => ({
	electrodeCount: 16,
	electrodeWidth: 0.01,
	firstAngle: 0,
	direction: "anticlockwise",
	...changes,
});

const centreAngle = (outline: typeof circle, placed: ReturnType<typeof placeElectrodes>, i: number) => {
	const [x, y] = outline.pointAt((placed.start[i]! + placed.end[i]!) / 2);
	return Math.atan2(y, x);
};

test.each(["anticlockwise", "clockwise"] as const)(
	"runs %s around a circle from the first angle",
	(direction) => {
		const placed = placeElectrodes(circle, band({ firstAngle: 0.3, direction }));
		const sense = direction === "clockwise" ? -1 : 1;
		for (let i = 0; i < 16; i++) {
			const wanted = 0.3 + (sense * 2 * Math.PI * i) / 16;
			expect(Math.cos(centreAngle(circle, placed, i) - wanted)).toBeCloseTo(1, 10);
		}
	},
);

test("spaces centres evenly by arc length, not by angle", () => {
	const placed = placeElectrodes(ellipse, band({ firstAngle: Math.PI / 2 }));
	expect(centreAngle(ellipse, placed, 0)).toBeCloseTo(Math.PI / 2, 6);
	for (let i = 0; i < 16; i++) {
		const step = placed.start[(i + 1) % 16]! - placed.start[i]!;
		const wrapped = step - ellipse.circumference * Math.floor(step / ellipse.circumference);
		expect(wrapped).toBeCloseTo(ellipse.circumference / 16, 12);
	}
	expect(centreAngle(ellipse, placed, 1)).not.toBeCloseTo(Math.PI / 2 + Math.PI / 8, 2);
});

test("puts electrodes where a custom band has them, the first at the first angle", () => {
	const positions = [0.02, 0.1, 0.25, 0.38, 0.5, 0.61, 0.75, 0.9];
	const placed = placeElectrodes(circle, band({ electrodeCount: 8, firstAngle: 1, positions }));
	for (const [i, position] of positions.entries()) {
		const wanted = 1 + 2 * Math.PI * (position - 0.02);
		expect(Math.cos(centreAngle(circle, placed, i) - wanted)).toBeCloseTo(1, 10);
	}
});

test("gives every electrode its width, with starts in one turn", () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 8, max: 64 }),
			fc.double({ min: 0.05, max: 0.95, noNaN: true }),
			fc.double({ min: -10, max: 10, noNaN: true }),
			(electrodeCount, share, firstAngle) => {
				const electrodeWidth = (share * ellipse.circumference) / electrodeCount;
				const placed = placeElectrodes(ellipse, band({ electrodeCount, electrodeWidth, firstAngle }));
				for (let i = 0; i < electrodeCount; i++) {
					expect(placed.end[i]! - placed.start[i]!).toBeCloseTo(electrodeWidth, 12);
					expect(placed.start[i]).toBeGreaterThanOrEqual(0);
					expect(placed.start[i]).toBeLessThan(ellipse.circumference);
				}
			},
		),
	);
});

describe("refuses", () => {
	test.each<[string, Partial<Band>, RegExp]>([
		["7 electrodes", { electrodeCount: 7 }, /8 to 64 electrodes/],
		["65 electrodes", { electrodeCount: 65 }, /8 to 64 electrodes/],
		["half an electrode", { electrodeCount: 15.5 }, /8 to 64/],
		["no width", { electrodeWidth: 0 }, /width must be a positive number/],
		["no angle", { firstAngle: Number.NaN }, /angle must be a number/],
		["electrodes that touch", { electrodeWidth: 0.0314 }, /electrodes \d+ and \d+ overlap or touch/],
		["too few positions", { positions: [0, 0.5] }, /16 electrodes need as many positions/],
		[
			"a position beyond the band",
			{ positions: Array.from({ length: 16 }, (_, i) => i / 15) },
			/position 15 must be a share/,
		],
		[
			"two electrodes in one place",
			{ positions: Array.from({ length: 16 }, (_, i) => (i === 9 ? 0.5 : i / 16)) },
			/electrodes 9 and 10 overlap/,
		],
	])("%s", (_, changes, message) => {
		expect(() => placeElectrodes(circle, band(changes))).toThrow(RangeError);
		expect(() => placeElectrodes(circle, band(changes))).toThrow(message);
	});
});
