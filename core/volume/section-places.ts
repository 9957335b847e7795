import { insideFat } from "../limb/muscle-compartment.ts";
import type { Outline } from "../limb/outline.ts";
import type { SectionPlaces } from "./volume-mesh.ts";

/**
 * Where a cross-section's points go when its outline is stretched by a factor: fat keeps its thickness, and all inside of
 * it is stretched along rays from the centre to fill what is left.
 *
 * @param nodes [n × 2] of the cross-section, m
 * @param fatThickness m; with zero all is stretched alike
 */
export function sectionPlaces(nodes: Float64Array, outline: Outline, fatThickness: number): SectionPlaces {
	const fixed = new Float64Array(nodes.length);
	const scaled = nodes.slice();
	if (fatThickness === 0) return { fixed, scaled };
	const { centre, radiusAt } = insideFat(outline, fatThickness);
	for (let at = 0; at < nodes.length; at += 2) {
		const x = nodes[at]! - centre[0];
		const y = nodes[at + 1]! - centre[1];
		const distance = Math.hypot(x, y);
		if (distance === 0) continue;
		const muscle = radiusAt(Math.atan2(y, x));
		const skin = Math.max(distance, skinRadius(outline, centre, x / distance, y / distance));
		// the muscle's edge goes from `muscle` at a factor of 1 by `skin` for each unit of the factor
		const share = Math.min(1, distance / muscle);
		const outwards = (share * skin) / distance;
		scaled[at] = centre[0] + outwards * x;
		scaled[at + 1] = centre[1] + outwards * y;
		fixed[at] = nodes[at]! - scaled[at]!;
		fixed[at + 1] = nodes[at + 1]! - scaled[at + 1]!;
	}
	return { fixed, scaled };
}

/** Distance from the centre to where a ray leaves the outline for the last time. */
function skinRadius(
	{ vertices }: Outline,
	centre: readonly [number, number],
	ux: number,
	uy: number,
): number {
	let farthest = 0;
	for (let i = 0; i < vertices.length; i += 2) {
		const next = (i + 2) % vertices.length;
		const x0 = vertices[i]! - centre[0];
		const y0 = vertices[i + 1]! - centre[1];
		const x1 = vertices[next]! - centre[0];
		const y1 = vertices[next + 1]! - centre[1];
		const side0 = ux * y0 - uy * x0;
		const side1 = ux * y1 - uy * x1;
		if (side0 > 0 === side1 > 0) continue;
		const t = side0 / (side0 - side1);
		farthest = Math.max(farthest, ux * (x0 + t * (x1 - x0)) + uy * (y0 + t * (y1 - y0)));
	}
	return farthest;
}
