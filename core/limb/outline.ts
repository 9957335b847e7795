import type { OutlineShape, Point } from "./limb.ts";
import { anticlockwise, checkPoints, requireSimple, withoutClosingPoint } from "./outline-points.ts";
import { samplePeriodicSpline } from "./periodic-spline.ts";

/**
 * A skin line as one dense closed polyline, anticlockwise, whatever it was made from. Arc length is counted in
 * metres from the vertex numbered 0 and wraps around at the circumference.
 */
export interface Outline {
	readonly shape: OutlineShape;
	/** [n × 2] x, y; the first is not repeated at the end. */
	readonly vertices: Float64Array;
	/** [n + 1] arc length at each vertex; the last entry is the circumference. */
	readonly arcLength: Float64Array;
	/** m */
	readonly circumference: number;
	/** m² */
	readonly area: number;
	/** Centre of area. */
	readonly centroid: Point;
	/** The point at arc length `s`; any finite number, wrapped. */
	pointAt(s: number): Point;
	/** Arc length in [0, circumference) where the ray from the origin at `radians` (from +x, anticlockwise) leaves
	 *  the outline for the last time. */
	arcAtAngle(radians: number): number;
	/** Whether the point lies inside; points on the line may go either way. */
	contains(x: number, y: number): boolean;
}

/** Vertices of curved outlines. Chords then stay within 3e-7 of a circle's radius: (2π/4096)²/8. */
const CURVE_VERTICES = 4096;

/** Curves are drawn and meshed from this many of their vertices at most. */
const THINNED_VERTICES = 512;

/** Arc lengths of vertices that stand for the whole outline: all of a polygon's, which may be corners, and about
 *  512 of a curve's. */
export function thinnedArcs({ shape, arcLength }: Outline): number[] {
	const n = arcLength.length - 1;
	const stride = shape.type === "polygon" ? 1 : Math.max(1, Math.round(n / THINNED_VERTICES));
	const arcs: number[] = [];
	for (let i = 0; i < n; i += stride) arcs.push(arcLength[i]!);
	return arcs;
}

/**
 * @throws RangeError saying what is wrong with the shape: not finite, too small, too few points, repeated points,
 * crossing itself, or not around the origin.
 */
export function createOutline(shape: OutlineShape): Outline {
	return outlineOfVertices(shape, verticesOf(shape));
}

function verticesOf(shape: OutlineShape): Float64Array {
	switch (shape.type) {
		case "circle":
			requireLength("radius", shape.radius);
			return ellipseVertices(shape.radius, shape.radius);
		case "ellipse":
			requireLength("semi-axis a", shape.a);
			requireLength("semi-axis b", shape.b);
			return ellipseVertices(shape.a, shape.b);
		case "polygon": {
			const points = anticlockwise(checkPoints(withoutClosingPoint(shape.points), 3));
			requireSimple(Float64Array.from(points.flat()), "polygon");
			return Float64Array.from(points.flat());
		}
		case "smooth": {
			const points = anticlockwise(checkPoints(withoutClosingPoint(shape.points), 4));
			const vertices = samplePeriodicSpline(points, Math.max(4, Math.ceil(CURVE_VERTICES / points.length)));
			requireSimple(vertices, "smooth curve");
			return vertices;
		}
	}
}

function requireLength(what: string, value: number): void {
	if (!(value > 0 && value < Infinity)) {
		throw new RangeError(`outline: ${what} must be a positive number of metres, got ${value}`);
	}
}

function ellipseVertices(a: number, b: number): Float64Array {
	const vertices = new Float64Array(2 * CURVE_VERTICES);
	for (let i = 0; i < CURVE_VERTICES; i++) {
		const t = (2 * Math.PI * i) / CURVE_VERTICES;
		vertices[2 * i] = a * Math.cos(t);
		vertices[2 * i + 1] = b * Math.sin(t);
	}
	return vertices;
}

function outlineOfVertices(shape: OutlineShape, vertices: Float64Array): Outline {
	const n = vertices.length / 2;
	const arcLength = new Float64Array(n + 1);
	let twiceArea = 0;
	let momentX = 0;
	let momentY = 0;
	for (let i = 0; i < n; i++) {
		const j = (i + 1) % n;
		const x0 = vertices[2 * i]!;
		const y0 = vertices[2 * i + 1]!;
		const x1 = vertices[2 * j]!;
		const y1 = vertices[2 * j + 1]!;
		arcLength[i + 1] = arcLength[i]! + Math.hypot(x1 - x0, y1 - y0);
		const cross = x0 * y1 - x1 * y0;
		twiceArea += cross;
		momentX += (x0 + x1) * cross;
		momentY += (y0 + y1) * cross;
	}
	const circumference = arcLength[n]!;

	const contains = (x: number, y: number): boolean => {
		let inside = false;
		for (let i = 0, j = n - 1; i < n; j = i++) {
			const yi = vertices[2 * i + 1]!;
			const yj = vertices[2 * j + 1]!;
			if (yi > y === yj > y) continue;
			const xi = vertices[2 * i]!;
			const xj = vertices[2 * j]!;
			if (x < xi + ((xj - xi) * (y - yi)) / (yj - yi)) inside = !inside;
		}
		return inside;
	};
	if (!contains(0, 0)) {
		throw new RangeError("outline: the origin must lie inside; shift the points so that it does");
	}

	return {
		shape,
		vertices,
		arcLength,
		circumference,
		area: twiceArea / 2,
		centroid: [momentX / (3 * twiceArea), momentY / (3 * twiceArea)],
		contains,
		pointAt(s) {
			const at = s - circumference * Math.floor(s / circumference);
			let low = 0;
			let high = n;
			while (high - low > 1) {
				const middle = (low + high) >> 1;
				if (arcLength[middle]! <= at) low = middle;
				else high = middle;
			}
			const next = (low + 1) % n;
			const t = Math.min(1, (at - arcLength[low]!) / (arcLength[low + 1]! - arcLength[low]!));
			return [
				vertices[2 * low]! + t * (vertices[2 * next]! - vertices[2 * low]!),
				vertices[2 * low + 1]! + t * (vertices[2 * next + 1]! - vertices[2 * low + 1]!),
			];
		},
		arcAtAngle(radians) {
			const ux = Math.cos(radians);
			const uy = Math.sin(radians);
			let farthest = -1;
			let arc = 0;
			for (let i = 0; i < n; i++) {
				const j = (i + 1) % n;
				const x0 = vertices[2 * i]!;
				const y0 = vertices[2 * i + 1]!;
				const x1 = vertices[2 * j]!;
				const y1 = vertices[2 * j + 1]!;
				const side0 = ux * y0 - uy * x0;
				const side1 = ux * y1 - uy * x1;
				if (side0 > 0 === side1 > 0) continue;
				const t = side0 / (side0 - side1);
				const distance = ux * (x0 + t * (x1 - x0)) + uy * (y0 + t * (y1 - y0));
				if (distance > farthest) {
					farthest = distance;
					arc = arcLength[i]! + t * (arcLength[i + 1]! - arcLength[i]!);
				}
			}
			return arc < circumference ? arc : 0;
		},
	};
}
