import type { Chain } from "./chains.ts";
import { constrain, floodLabels } from "./constraints.ts";
import { insertInTriangle, locate } from "./insertion.ts";
import type { MeshPoints } from "./mesh-points.ts";
import { OUTSIDE } from "./sides.ts";
import { createTriangulation, type Triangulation } from "./triangulation.ts";

/** A triangulation starts with the corners of a square around everything; node i is its vertex i + 4. */
export const SQUARE_CORNERS = 4;

/**
 * Triangulates the nodes so that every segment is an edge, and labels triangles by what the segments have on their
 * sides.
 *
 * @returns the number of a chain whose segments cross others, if any do: it needs more nodes
 */
export function triangulateOutlines(points: MeshPoints, chains: readonly Chain[]): Triangulation | number {
	const { x, y, segments } = points;
	let minX = Infinity;
	let maxX = -Infinity;
	let minY = Infinity;
	let maxY = -Infinity;
	for (let i = 0; i < x.length; i++) {
		minX = Math.min(minX, x[i]!);
		maxX = Math.max(maxX, x[i]!);
		minY = Math.min(minY, y[i]!);
		maxY = Math.max(maxY, y[i]!);
	}
	const t = createTriangulation(minX, minY, maxX, maxY, 4 * x.length);
	let last = 0;
	for (let i = 0; i < x.length; i++) {
		const v = insertInTriangle(t, locate(t, last, x[i]!, y[i]!, false), x[i]!, y[i]!);
		if (v !== i + SQUARE_CORNERS) throw new Error("mesh: two nodes coincide");
		last = Math.floor(t.edgeOf[v]! / 3);
	}
	for (const [s, { a, b, chain }] of segments.entries()) {
		if (!constrain(t, a + SQUARE_CORNERS, b + SQUARE_CORNERS, s)) return chain;
	}
	const labelLeftOf = (e: number): number => {
		const { a, chain } = segments[t.segment[e]! - 1]!;
		const { left, right } = chains[chain]!;
		return t.origin[e] === a + SQUARE_CORNERS ? left : right;
	};
	floodLabels(t, labelLeftOf, OUTSIDE);
	return t;
}
