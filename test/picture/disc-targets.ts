/** Better conducting targets in the homogeneous tank of `create-disc.ts`, on a finer mesh than any picture's. */
import type { ReadingPattern } from "../../core/band/band.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { cellCentres } from "../../core/picture/image-rows.ts";
import { meshSubject } from "../../core/picture/picture-model.ts";
import type { PictureSubject } from "../../core/picture/subject.ts";
import { trianglesOf } from "./create-disc.ts";

/** @returns V at 1 A per metre of height, with a target of so many metres; none where the radius is 0 */
export type ReadingsWithTarget = (x: number, y: number, radius: number) => Float64Array;

export function createTargets(subject: PictureSubject, pattern: ReadingPattern): ReadingsWithTarget {
	const fine = meshSubject(subject, 6000);
	const solver = createMeshSolver(fine);
	const centres = cellCentres(fine);
	return (x, y, radius) => {
		const sigma = Float64Array.from({ length: trianglesOf(fine) }, (_, k) =>
			Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y) < radius ? 0.36 : 0.3,
		);
		return readingsFrom(solver.solve(sigma, subject.contactImpedance), pattern, 1);
	};
}

/** Distance of the picture's centroid, of what exceeds half of its maximum, weighted by change and area, from a place, m.
 *  @param cells of the picture's model */
export function positionError(
	values: Float32Array,
	cells: { readonly cellCentres: ArrayLike<number>; readonly cellAreas: ArrayLike<number> },
	x: number,
	y: number,
): number {
	const half = values.reduce((most, value) => Math.max(most, value), 0) / 2;
	let total = 0;
	let cx = 0;
	let cy = 0;
	for (let k = 0; k < values.length; k++) {
		if (values[k]! <= half) continue;
		const weight = values[k]! * cells.cellAreas[k]!;
		total += weight;
		cx += weight * cells.cellCentres[2 * k]!;
		cy += weight * cells.cellCentres[2 * k + 1]!;
	}
	return Math.hypot(cx / total - x, cy / total - y);
}
