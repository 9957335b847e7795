import type { PlacedElectrodes } from "../band/electrodes.ts";
import type { Outline } from "../limb/outline.ts";
import type { MeshSizes } from "./mesh-points.ts";
import type { SizeField } from "./size-field.ts";

/** 3,200 for 16 electrodes; more electrodes need more boundary, but no finer inside. */
export function defaultTriangles(electrodeCount: number): number {
	return Math.round(3200 * Math.sqrt(electrodeCount / 16));
}

/**
 * Edge lengths in the proportions that serve accuracy best, all multiplied by `scale`. Found by trying: of 108
 * combinations with about 3,200 linear triangles, these gave the least error in the voltages of the reference
 * discs (about 0.15 %, a third of what even growth from shorter ends gave).
 */
export function sizesFor(outline: Outline, electrodes: PlacedElectrodes, scale: number): MeshSizes {
	const width = electrodes.end[0]! - electrodes.start[0]!;
	const radius = outline.circumference / (2 * Math.PI);
	const pitch = outline.circumference / electrodes.count;
	return {
		electrodeEnd: 0.09 * width * scale,
		skin: 0.2 * pitch * scale,
		interface: 0.09 * radius * scale,
		largest: 0.11 * radius * scale,
		growth: 0.35,
	};
}

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
