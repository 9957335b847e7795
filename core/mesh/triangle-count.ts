import type { SizeField } from "./size-field.ts";

/**
 * About how many triangles a mesh with these edge lengths has: the area integral of one over the area of an
 * equilateral triangle, on squares that shrink with the size.
 *
 * @param boundary [n × 2] points around the skin, anticlockwise
 */
export function estimateTriangles(boundary: Float64Array, field: SizeField): number {
	let minX = Infinity;
	let minY = Infinity;
	let maxX = -Infinity;
	let maxY = -Infinity;
	for (let i = 0; i < boundary.length; i += 2) {
		minX = Math.min(minX, boundary[i]!);
		maxX = Math.max(maxX, boundary[i]!);
		minY = Math.min(minY, boundary[i + 1]!);
		maxY = Math.max(maxY, boundary[i + 1]!);
	}
	const count = (cx: number, cy: number, side: number): number => {
		const size = field.at(cx, cy);
		if (side > COARSEST * size) {
			const quarter = side / 4;
			return (
				count(cx - quarter, cy - quarter, side / 2) +
				count(cx + quarter, cy - quarter, side / 2) +
				count(cx - quarter, cy + quarter, side / 2) +
				count(cx + quarter, cy + quarter, side / 2)
			);
		}
		if (!isWithin(boundary, cx, cy)) return 0;
		return (side * side) / (size * size);
	};
	const side = Math.max(maxX - minX, maxY - minY);
	return (PER_EQUILATERAL * 4 * count((minX + maxX) / 2, (minY + maxY) / 2, side)) / Math.sqrt(3);
}

const COARSEST = 3;
/** Triangles made for each equilateral one of the wanted edge length; found by counting. */
const PER_EQUILATERAL = 1.21;

function isWithin(boundary: Float64Array, x: number, y: number): boolean {
	let inside = false;
	const n = boundary.length;
	for (let i = 0, j = n - 2; i < n; j = i, i += 2) {
		const yi = boundary[i + 1]!;
		const yj = boundary[j + 1]!;
		if (yi > y === yj > y) continue;
		const xi = boundary[i]!;
		if (x < xi + ((boundary[j]! - xi) * (y - yi)) / (yj - yi)) inside = !inside;
	}
	return inside;
}
