import type { Mesh } from "../mesh/mesh.ts";

/**
 * A volume of layers: the triangles of a cross-section stacked along the axis to prisms, each split into three
 * tetrahedra. Node v of level k has number k·perLevel + v; prism t of layer k is cell k·trianglesPerLayer + t. Lengths
 * in metres.
 */
export interface VolumeMesh {
	/** [nNodes × 3] x, y, z */
	readonly nodes: Float64Array;
	/** [nCells × 12] nodes of a cell's three tetrahedra, four each. */
	readonly tetrahedra: Uint32Array;
	/** [trianglesPerLayer × 3] the triangles of every level, nodes from 0. */
	readonly triangles: Uint32Array;
	/** [trianglesPerLayer] which region holds the triangle, as in `Mesh`. */
	readonly regionOf: Uint8Array;
	/** [nLayers + 1] heights of the levels, m */
	readonly levels: Float64Array;
	readonly nodesPerLevel: number;
	/** [nFaces × 3] triangles of the skin under electrodes. */
	readonly electrodeFaces: Uint32Array;
	/** [nFaces] */
	readonly electrodeOfFace: Uint16Array;
	readonly electrodeCount: number;
}

/** Where the nodes of a cross-section lie at a level: fixed + scale · scaled. */
export interface SectionPlaces {
	/** [nNodes × 2] m */
	readonly fixed: Float64Array;
	/** [nNodes × 2] m */
	readonly scaled: Float64Array;
}

export interface StackOptions {
	readonly section: Mesh;
	readonly places: SectionPlaces;
	readonly levels: Float64Array;
	/** [nLevels] */
	readonly scales: Float64Array;
	/** For each layer the electrode over each of the section's electrodes, or −1: null where there is none. */
	readonly electrodeOver: readonly (Int16Array | null)[];
	readonly electrodeCount: number;
}

/**
 * Prisms are split by the numbers of their nodes (Dompierre, Labbé, Vallet & Camarero, 8th International Meshing
 * Roundtable, 1999): the diagonal of each side starts at the lower node of smaller number, so that neighbours agree.
 */
export function stackSection(options: StackOptions): VolumeMesh {
	const { section, places, levels, scales, electrodeOver, electrodeCount } = options;
	const perLevel = section.nodes.length / 2;
	const perLayer = section.triangles.length / 3;
	const layers = levels.length - 1;
	const nodes = new Float64Array(3 * perLevel * levels.length);
	for (let k = 0; k < levels.length; k++) {
		for (let v = 0; v < perLevel; v++) {
			const at = 3 * (k * perLevel + v);
			nodes[at] = places.fixed[2 * v]! + scales[k]! * places.scaled[2 * v]!;
			nodes[at + 1] = places.fixed[2 * v + 1]! + scales[k]! * places.scaled[2 * v + 1]!;
			nodes[at + 2] = levels[k]!;
		}
	}

	const tetrahedra = new Uint32Array(12 * perLayer * layers);
	for (let t = 0; t < perLayer; t++) {
		const corners = section.triangles.subarray(3 * t, 3 * t + 3);
		const [i, j, l] = [...corners].sort((a, b) => a - b) as [number, number, number];
		// sorting turns some triangles around; theirs are turned back
		const isTurned = corners[(corners.indexOf(i) + 1) % 3] !== j;
		for (let k = 0; k < layers; k++) {
			const low = k * perLevel;
			const high = low + perLevel;
			const cells = [
				[low + i, low + j, low + l, high + l],
				[low + i, low + j, high + l, high + j],
				[low + i, high + j, high + l, high + i],
			];
			for (const [c, cell] of cells.entries()) {
				const at = 12 * (k * perLayer + t) + 4 * c;
				tetrahedra.set(cell, at);
				if (isTurned) {
					tetrahedra[at] = cell[1]!;
					tetrahedra[at + 1] = cell[0]!;
				}
			}
		}
	}

	const faces: number[] = [];
	const electrodeOfFace: number[] = [];
	for (const [k, over] of electrodeOver.entries()) {
		if (over === null) continue;
		const low = k * perLevel;
		const high = low + perLevel;
		for (let e = 0; e < section.electrodeOfEdge.length; e++) {
			const electrode = over[section.electrodeOfEdge[e]!]!;
			if (electrode < 0) continue;
			const [a, b] = [section.electrodeEdges[2 * e]!, section.electrodeEdges[2 * e + 1]!];
			const [i, j] = a < b ? [a, b] : [b, a];
			faces.push(low + i, low + j, high + j, low + i, high + j, high + i);
			electrodeOfFace.push(electrode, electrode);
		}
	}
	return {
		nodes,
		tetrahedra,
		triangles: section.triangles,
		regionOf: section.regionOf,
		levels,
		nodesPerLevel: perLevel,
		electrodeFaces: Uint32Array.from(faces),
		electrodeOfFace: Uint16Array.from(electrodeOfFace),
		electrodeCount,
	};
}

/** [nCells] m³ */
export function cellVolumes({ nodes, tetrahedra }: VolumeMesh): Float64Array {
	const volumes = new Float64Array(tetrahedra.length / 12);
	for (let at = 0; at < tetrahedra.length; at += 4)
		volumes[Math.floor(at / 12)]! += tetrahedronVolume(nodes, tetrahedra, at);
	return volumes;
}

const normal = new Float64Array(3);

/** Of the tetrahedron whose nodes begin at `at`, m³; negative where it is turned inside out. */
export function tetrahedronVolume(nodes: Float64Array, tetrahedra: Uint32Array, at: number): number {
	const a = 3 * tetrahedra[at]!;
	const d = 3 * tetrahedra[at + 3]!;
	faceNormalInto(nodes, a, 3 * tetrahedra[at + 1]!, 3 * tetrahedra[at + 2]!, normal, 0);
	return (
		(normal[0]! * (nodes[d]! - nodes[a]!) +
			normal[1]! * (nodes[d + 1]! - nodes[a + 1]!) +
			normal[2]! * (nodes[d + 2]! - nodes[a + 2]!)) /
		6
	);
}

/** Normal of a triangle with twice its area as length, m², into `into` from `at` on: it points to where a, b, c run
 *  anticlockwise. @param a and `b`, `c`: where the corners' coordinates begin in `nodes` */
export function faceNormalInto(
	nodes: Float64Array,
	a: number,
	b: number,
	c: number,
	into: Float64Array,
	at: number,
): void {
	const x1 = nodes[b]! - nodes[a]!;
	const y1 = nodes[b + 1]! - nodes[a + 1]!;
	const z1 = nodes[b + 2]! - nodes[a + 2]!;
	const x2 = nodes[c]! - nodes[a]!;
	const y2 = nodes[c + 1]! - nodes[a + 1]!;
	const z2 = nodes[c + 2]! - nodes[a + 2]!;
	into[at] = y1 * z2 - z1 * y2;
	into[at + 1] = z1 * x2 - x1 * z2;
	into[at + 2] = x1 * y2 - y1 * x2;
}

/** [nCells × 3] m: middles of the prisms. */
export function volumeCellCentres({ nodes, triangles, levels, nodesPerLevel }: VolumeMesh): Float64Array {
	const perLayer = triangles.length / 3;
	const layers = levels.length - 1;
	const centres = new Float64Array(3 * perLayer * layers);
	for (let k = 0; k < layers; k++)
		for (let t = 0; t < perLayer; t++)
			for (let corner = 0; corner < 3; corner++)
				for (const level of [k, k + 1]) {
					const node = 3 * (level * nodesPerLevel + triangles[3 * t + corner]!);
					for (let axis = 0; axis < 3; axis++)
						centres[3 * (k * perLayer + t) + axis]! += nodes[node + axis]! / 6;
				}
	return centres;
}
