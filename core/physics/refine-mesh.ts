import type { Mesh } from "../mesh/mesh.ts";
import type { MiddleOfSide } from "./curved-sides.ts";
import { findEdges } from "./mesh-edges.ts";

/** Its first nodes are those of the mesh that it was made from. */
export interface RefinedMesh extends Mesh {
	/** [nTriangles] the triangle that each is part of. */
	readonly parentOf: Uint32Array;
}

/**
 * Makes triangles that touch one of `nodes` `2^-halvings` of their former size, and as many around them smaller as
 * that takes: bisection of longest sides (Rivara, Int. J. Numer. Methods Eng. 20:745, 1984), which never leaves an
 * angle smaller than half of the smallest before. New nodes on the side of a curve lie on the curve.
 */
export function refineAtNodes(
	mesh: Mesh,
	nodes: Iterable<number>,
	halvings: number,
	middleOfSide: MiddleOfSide,
): RefinedMesh {
	const work = createBisection(mesh, middleOfSide);
	// per node: how long a side may be at it
	const limit = new Float64Array(mesh.nodes.length / 2).fill(Number.POSITIVE_INFINITY);
	for (const node of nodes) limit[node] = 0;
	const largest = new Float64Array(limit.length);
	for (let side = 0; side < mesh.triangles.length; side++) {
		const node = mesh.triangles[side]!;
		if (limit[node] === 0)
			largest[node] = Math.max(largest[node]!, work.longestSide(Math.floor(side / 3)).length);
	}
	for (let node = 0; node < limit.length; node++)
		if (limit[node] === 0) limit[node] = largest[node]! * 2 ** -halvings * (1 + 1e-9);

	const tooLarge = (t: number): boolean => {
		const { length } = work.longestSide(t);
		for (let i = 0; i < 3; i++)
			if (length > (limit[work.triangles[3 * t + i]!] ?? Number.POSITIVE_INFINITY)) return true;
		return false;
	};
	for (let before = -1; before !== work.triangles.length; ) {
		before = work.triangles.length;
		for (let t = 0; t < before / 3; t++) if (tooLarge(t)) work.bisect(t);
	}
	return work.toMesh();
}

/** A mesh under bisection: growing lists, and which triangles lie on each side. */
function createBisection(mesh: Mesh, middleOfSide: MiddleOfSide) {
	const nodes = Array.from(mesh.nodes);
	const triangles = Array.from(mesh.triangles);
	const regionOf = Array.from(mesh.regionOf);
	const parentOf = Array.from(mesh.regionOf.keys());
	/** Side (key of its ends) to the two triangles on it, −1 on the boundary. */
	const owners = new Map<number, [number, number]>();
	const electrodeOf = new Map<number, number>();
	const middle = new Float64Array(2);
	const key = (a: number, b: number) => Math.min(a, b) * 2 ** 26 + Math.max(a, b);
	const squared = (a: number, b: number) =>
		(nodes[2 * a]! - nodes[2 * b]!) ** 2 + (nodes[2 * a + 1]! - nodes[2 * b + 1]!) ** 2;

	const edges = findEdges(mesh.triangles, mesh.nodes.length / 2);
	for (let e = 0; e < edges.count; e++)
		owners.set(key(edges.ends[2 * e]!, edges.ends[2 * e + 1]!), [
			edges.triangles[2 * e]!,
			edges.triangles[2 * e + 1]!,
		]);
	for (let i = 0; i < mesh.electrodeOfEdge.length; i++)
		electrodeOf.set(
			key(mesh.electrodeEdges[2 * i]!, mesh.electrodeEdges[2 * i + 1]!),
			mesh.electrodeOfEdge[i]!,
		);

	/** The longest side, the one with the larger key among equals so that neighbours agree. */
	const longestSide = (t: number) => {
		let best = 0;
		let bestSquared = -1;
		let bestKey = -1;
		for (let i = 0; i < 3; i++) {
			const a = triangles[3 * t + i]!;
			const b = triangles[3 * t + ((i + 1) % 3)]!;
			const length = squared(a, b);
			const own = key(a, b);
			if (length > bestSquared || (length === bestSquared && own > bestKey)) {
				best = i;
				bestSquared = length;
				bestKey = own;
			}
		}
		return { corner: best, key: bestKey, length: Math.sqrt(bestSquared) };
	};

	const across = (sideKey: number, t: number) => {
		const [one, other] = owners.get(sideKey)!;
		return one === t ? other : one;
	};

	const replaceOwner = (a: number, b: number, from: number, to: number) => {
		const pair = owners.get(key(a, b))!;
		pair[pair[0] === from ? 0 : 1] = to;
	};

	/** Halves triangle t at the node put on its side after `corner`. */
	const halve = (t: number, corner: number, node: number) => {
		const a = triangles[3 * t + corner]!;
		const b = triangles[3 * t + ((corner + 1) % 3)]!;
		const c = triangles[3 * t + ((corner + 2) % 3)]!;
		const twin = triangles.length / 3;
		triangles[3 * t] = a;
		triangles[3 * t + 1] = node;
		triangles[3 * t + 2] = c;
		triangles.push(node, b, c);
		regionOf.push(regionOf[t]!);
		parentOf.push(parentOf[t]!);
		replaceOwner(b, c, t, twin);
		owners.set(key(node, c), [t, twin]);
		return { a, b, twin };
	};

	const splitSide = (t: number) => {
		const { corner, key: sideKey } = longestSide(t);
		const other = across(sideKey, t);
		const a = triangles[3 * t + corner]!;
		const b = triangles[3 * t + ((corner + 1) % 3)]!;
		const outer = other < 0 ? -1 : regionOf[other]!;
		middleOfSide(
			nodes[2 * a]!,
			nodes[2 * a + 1]!,
			nodes[2 * b]!,
			nodes[2 * b + 1]!,
			regionOf[t]!,
			outer,
			middle,
		);
		const node = nodes.length / 2;
		nodes.push(middle[0]!, middle[1]!);
		const own = halve(t, corner, node);
		let atA = -1;
		let atB = -1;
		if (other >= 0) {
			// the neighbour runs along the side the other way round: its first half lies at b
			const opposite = halve(other, longestSide(other).corner, node);
			atB = other;
			atA = opposite.twin;
		}
		owners.delete(sideKey);
		owners.set(key(a, node), [t, atA]);
		owners.set(key(node, b), [own.twin, atB]);
		const electrode = electrodeOf.get(sideKey);
		if (electrode !== undefined) {
			electrodeOf.delete(sideKey);
			electrodeOf.set(key(a, node), electrode);
			electrodeOf.set(key(node, b), electrode);
		}
	};

	/** Halves t at its longest side, after the neighbours whose longest side is another. */
	const bisect = (t: number): void => {
		for (;;) {
			const side = longestSide(t);
			const other = across(side.key, t);
			if (other < 0 || longestSide(other).key === side.key) {
				splitSide(t);
				return;
			}
			bisect(other);
		}
	};

	const toMesh = (): RefinedMesh => {
		const electrodeEdges: number[] = [];
		const electrodeOfEdge: number[] = [];
		for (let t = 0; t < triangles.length / 3; t++)
			for (let i = 0; i < 3; i++) {
				const a = triangles[3 * t + i]!;
				const b = triangles[3 * t + ((i + 1) % 3)]!;
				const electrode = electrodeOf.get(key(a, b));
				if (electrode === undefined) continue;
				electrodeEdges.push(a, b);
				electrodeOfEdge.push(electrode);
			}
		return {
			...mesh,
			nodes: Float64Array.from(nodes),
			triangles: Uint32Array.from(triangles),
			regionOf: Uint8Array.from(regionOf),
			parentOf: Uint32Array.from(parentOf),
			electrodeEdges: Uint32Array.from(electrodeEdges),
			electrodeOfEdge: Uint16Array.from(electrodeOfEdge),
		};
	};
	return { triangles: triangles as readonly number[], longestSide, bisect, toMesh };
}
