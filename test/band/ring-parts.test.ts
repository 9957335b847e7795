import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import { cutRing } from "../../core/band/ring-parts.ts";
import { createOutline } from "../../core/limb/outline.ts";

const outline = createOutline({ type: "circle", radius: 0.08 });
const { circumference } = outline;

const ring = (electrodeCount: number, electrodeWidth: number, firstAngle = 0) =>
	placeElectrodes(outline, { electrodeCount, electrodeWidth, firstAngle, direction: "anticlockwise" });

describe("the ring under several bands", () => {
	test("bands alike need no cuts but the electrodes' ends", () => {
		const { parts, electrodeOver } = cutRing([ring(16, 0.01), ring(16, 0.01)], circumference);
		expect(parts.count).toBe(16);
		for (const over of electrodeOver)
			expect(new Set(over)).toEqual(new Set(Array.from({ length: 16 }, (_, i) => i)));
	});

	test("bands that a taper makes narrower by a little share their ends", () => {
		const { parts } = cutRing([ring(16, 0.0205), ring(16, 0.0195)], circumference);
		expect(parts.count).toBe(16);
		for (let i = 0; i < 16; i++) expect(parts.end[i]! - parts.start[i]!).toBeCloseTo(0.02, 6);
	});

	test("where one band's electrode ends, almost, and another's starts is one cut", () => {
		const width = circumference / 16;
		const { parts, electrodeOver } = cutRing(
			[ring(8, width), ring(8, 0.98 * width, Math.PI / 8)],
			circumference,
		);
		expect(parts.count).toBe(16);
		for (let i = 0; i < 16; i++) {
			expect(electrodeOver.filter((over) => over[i]! >= 0)).toHaveLength(1);
			expect(parts.start[i]! + width).toBeCloseTo(parts.end[i]!, 3);
		}
	});

	test("a narrow gap within one band stays, whatever other bands do beside it", () => {
		const touching = circumference / 8 / 1.021;
		const turned = Array.from({ length: 3 }, (_, i) => ring(8, touching, 0.002 * i));
		const { parts, electrodeOver } = cutRing(turned, circumference);
		for (const [band, over] of electrodeOver.entries()) {
			const covered = over.reduce((sum, at, i) => sum + (at < 0 ? 0 : parts.end[i]! - parts.start[i]!), 0);
			expect(covered, `band ${band + 1}`).toBeLessThan(0.99 * circumference);
			expect(new Set(over.filter((at) => at >= 0)).size).toBe(8);
		}
	});

	test("every electrode is the sum of its parts, wherever the bands are turned", () => {
		fc.assert(
			fc.property(
				fc.integer({ min: 8, max: 24 }),
				fc.integer({ min: 8, max: 24 }),
				fc.double({ min: -4, max: 4, noNaN: true }),
				(one, other, turn) => {
					const rings = [ring(one, 0.01), ring(other, 0.012, turn)];
					const { parts, electrodeOver } = cutRing(rings, circumference);
					for (const [band, { count, start, end }] of rings.entries()) {
						const widths = new Float64Array(count);
						for (let i = 0; i < parts.count; i++) {
							const electrode = electrodeOver[band]![i]!;
							if (electrode >= 0) widths[electrode]! += parts.end[i]! - parts.start[i]!;
						}
						for (let l = 0; l < count; l++)
							expect(Math.abs(widths[l]! - (end[l]! - start[l]!))).toBeLessThan(0.0021);
					}
				},
			),
		);
	});
});
