import fc from "fast-check";
import { expect } from "vitest";
import { type PlacedElectrodes, placeElectrodes } from "../../core/band/electrodes.ts";
import { cutRing } from "../../core/band/ring-parts.ts";
import type { RegionOutline } from "../../core/limb/limb.ts";
import { createOutline, type Outline } from "../../core/limb/outline.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import { measureMesh, wrongElectrodes } from "./check-mesh.ts";

const share = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** From less than rounding to a tenth of the circumference, every power of ten as often. */
const anyGap = share(-17, -1).map((power) => 10 ** power);

/** Stretches under electrodes that follow each other at any gap, none or nearly none among them. Shares of the
 *  circumference before and under each. */
const stretches = fc.array(fc.tuple(fc.oneof(fc.constant(0), anyGap), share(1e-4, 0.04)), {
	minLength: 8,
	maxLength: 20,
});

const outlines = fc
	.tuple(share(0.04, 0.13), share(0.75, 1.3))
	.map(([b, ratio]) => createOutline({ type: "ellipse", a: b * ratio, b }));

function placeStretches(
	{ circumference }: Outline,
	chosen: readonly (readonly [number, number])[],
	from: number,
): PlacedElectrodes {
	const total = chosen.reduce((sum, [gap, width]) => sum + gap + width, 0);
	// all around: the last ends where the first begins, or nearly
	const scale = total > 1 ? 1 / total : 1;
	const start: number[] = [];
	const end: number[] = [];
	let at = from * circumference;
	for (const [gap, width] of chosen) {
		at += gap * scale * circumference;
		const begin = at - circumference * Math.floor(at / circumference);
		start.push(begin);
		end.push(begin + width * scale * circumference);
		at += width * scale * circumference;
	}
	return { count: start.length, start: Float64Array.from(start), end: Float64Array.from(end) };
}

/** A cross-section under stretches of electrodes however near to each other. */
export const ringOfStretches = fc
	.tuple(outlines, stretches, share(0, 1))
	.map(([outline, chosen, from]) => ({ outline, electrodes: placeStretches(outline, chosen, from) }));

/** A cross-section under two to four bands that are turned against each other by anything from rounding to a half turn. */
export const ringOfBands = fc
	.tuple(
		outlines,
		fc.array(fc.tuple(fc.integer({ min: 8, max: 16 }), share(0.2, 0.7), anyGap), {
			minLength: 2,
			maxLength: 4,
		}),
	)
	.map(([outline, bands]) => {
		const rings = bands.map(([electrodeCount, cover, turn]) =>
			placeElectrodes(outline, {
				electrodeCount,
				electrodeWidth: (cover * outline.circumference) / electrodeCount,
				firstAngle: 10 * Math.PI * turn,
				direction: "anticlockwise",
			}),
		);
		return { outline, electrodes: cutRing(rings, outline.circumference).parts };
	});

export interface Ring {
	readonly outline: Outline;
	readonly electrodes: PlacedElectrodes;
}

/** No angle below 20°, and every electrode has its edges. */
export function expectWellShaped(
	{ outline, electrodes }: Ring,
	targetTriangles: number,
	regions: readonly RegionOutline[] = [],
): void {
	const mesh = meshLimb({ outline, electrodes, regions, targetTriangles });
	const facts = measureMesh(mesh);
	expect(facts.leastAngle).toBeGreaterThanOrEqual(20);
	expect(wrongElectrodes(mesh, facts.boundary, outline, electrodes, 1.1e-5)).toEqual([]);
}
