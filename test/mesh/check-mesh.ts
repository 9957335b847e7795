import type { PlacedElectrodes } from "../../core/band/electrodes.ts";
import type { RegionOutline } from "../../core/limb/limb.ts";
import type { Outline } from "../../core/limb/outline.ts";
import type { Mesh } from "../../core/mesh/mesh.ts";
import { contains, distanceTo } from "../limb/polygons.ts";

export interface MeshFacts {
	readonly triangles: number;
	/** Degrees. */
	readonly leastAngle: number;
	readonly area: number;
	/** [region + 1] m² by label. */
	readonly areaOf: readonly number[];
	/** Directed edges without a twin, as [from, to]. */
	readonly boundary: readonly (readonly [number, number])[];
}

/**
 * Measures a mesh from its arrays alone. @throws Error when it is no mesh: a triangle is not anticlockwise, an edge is
 * used twice the same way, a node is unused, or the triangles do not form one piece without holes.
 */
export function measureMesh({ nodes, triangles, regionOf }: Mesh): MeshFacts {
	const nNodes = nodes.length / 2;
	const nTriangles = triangles.length / 3;
	const edges = new Set<number>();
	const used = new Uint8Array(nNodes);
	const areaOf: number[] = [];
	let area = 0;
	let leastAngle = 180;
	for (let i = 0; i < nTriangles; i++) {
		const [a, b, c] = [triangles[3 * i]!, triangles[3 * i + 1]!, triangles[3 * i + 2]!];
		const doubled = cross(nodes, a, b, c);
		if (!(doubled > 0)) throw new Error(`triangle ${i} is not anticlockwise`);
		area += doubled / 2;
		areaOf[regionOf[i]!] = (areaOf[regionOf[i]!] ?? 0) + doubled / 2;
		for (const [p, q, r] of [
			[a, b, c],
			[b, c, a],
			[c, a, b],
		] as const) {
			if (edges.has(p * nNodes + q)) throw new Error(`edge ${p} → ${q} belongs to two triangles on one side`);
			edges.add(p * nNodes + q);
			used[p] = 1;
			leastAngle = Math.min(leastAngle, (angleAt(nodes, p, q, r) * 180) / Math.PI);
		}
	}
	if (used.includes(0)) throw new Error("a node is in no triangle");
	const boundary: [number, number][] = [];
	for (const edge of edges) {
		const [p, q] = [Math.floor(edge / nNodes), edge % nNodes];
		if (!edges.has(q * nNodes + p)) boundary.push([p, q]);
	}
	// Euler's formula for a disc: nodes − edges + triangles = 1.
	const euler = nNodes - (edges.size + boundary.length) / 2 + nTriangles;
	if (euler !== 1) throw new Error(`nodes − edges + triangles is ${euler}`);
	return { triangles: nTriangles, leastAngle, area, areaOf, boundary };
}

/** Electrodes whose edges are not an unbroken run along the boundary from their start to their end.
 *  @param slack share of the circumference: where ends lie so near to each other they are one */
export function wrongElectrodes(
	mesh: Mesh,
	boundary: MeshFacts["boundary"],
	outline: Outline,
	electrodes: PlacedElectrodes,
	slack = 1e-9,
): number[] {
	const onBoundary = new Set(boundary.map(([p, q]) => `${p} ${q}`));
	const at = (v: number): [number, number] => [mesh.nodes[2 * v]!, mesh.nodes[2 * v + 1]!];
	const isAt = (v: number, arc: number) => {
		const [x, y] = outline.pointAt(arc);
		return Math.hypot(at(v)[0] - x, at(v)[1] - y) < slack * outline.circumference;
	};
	const wrong: number[] = [];
	for (let electrode = 0; electrode < electrodes.count; electrode++) {
		const run: [number, number][] = [];
		for (let i = 0; i < mesh.electrodeOfEdge.length; i++) {
			if (mesh.electrodeOfEdge[i] !== electrode) continue;
			run.push([mesh.electrodeEdges[2 * i]!, mesh.electrodeEdges[2 * i + 1]!]);
		}
		const isRun = run.every(([p, q], i) => onBoundary.has(`${p} ${q}`) && (i === 0 || run[i - 1]![1] === p));
		const reaches =
			run.length >= 4 &&
			isAt(run[0]![0], electrodes.start[electrode]!) &&
			isAt(run.at(-1)![1], electrodes.end[electrode]!);
		if (!isRun || !reaches) wrong.push(electrode);
	}
	return wrong;
}

/** Triangles whose centre lies in another region than they say, though well away from every outline. */
export function mislabelled(mesh: Mesh, regions: readonly RegionOutline[], outline: Outline): number[] {
	const wrong: number[] = [];
	for (let i = 0; i < mesh.regionOf.length; i++) {
		const corners = [0, 1, 2].map((k) => mesh.triangles[3 * i + k]!);
		const x = corners.reduce((sum, v) => sum + mesh.nodes[2 * v]!, 0) / 3;
		const y = corners.reduce((sum, v) => sum + mesh.nodes[2 * v + 1]!, 0) / 3;
		let label = 0;
		for (const [r, { points }] of regions.entries()) if (contains(points, x, y)) label = r + 1;
		if (label === mesh.regionOf[i]) continue;
		// Straight edges cut a little off bends, and outlines closer than the snapping distance are one.
		const size = Math.sqrt(cross(mesh.nodes, corners[0]!, corners[1]!, corners[2]!) / 2);
		const slack = 3e-4 * outline.circumference + 0.15 * size;
		if (regions.every(({ points }) => distanceTo(points, x, y) > slack)) wrong.push(i);
	}
	return wrong;
}

function cross(nodes: Float64Array, a: number, b: number, c: number): number {
	return (
		(nodes[2 * b]! - nodes[2 * a]!) * (nodes[2 * c + 1]! - nodes[2 * a + 1]!) -
		(nodes[2 * b + 1]! - nodes[2 * a + 1]!) * (nodes[2 * c]! - nodes[2 * a]!)
	);
}

function angleAt(nodes: Float64Array, p: number, q: number, r: number): number {
	const ux = nodes[2 * q]! - nodes[2 * p]!;
	const uy = nodes[2 * q + 1]! - nodes[2 * p + 1]!;
	const vx = nodes[2 * r]! - nodes[2 * p]!;
	const vy = nodes[2 * r + 1]! - nodes[2 * p + 1]!;
	return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}
