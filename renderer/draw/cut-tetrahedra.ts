/**
 * Where a field, linear over each tetrahedron, takes a value: triangles whose corners lie on the tetrahedra's edges
 * (marching tetrahedra: Doi & Koide, IEICE Trans. E74:214, 1991). A corner is told by its edge's two ends and its share
 * of the way between them, so that positions, and any other field, are interpolated there exactly as the field was.
 * Neighbours share their corners. The same cut serves a surface of equal value and, with a coordinate as the field, a
 * plane.
 */
export interface Cut {
	vertexCount: number;
	triangleCount: number;
	/** [vertexCount × 2] nodes at the ends of each corner's edge; longer than what counts. */
	ends: Uint32Array;
	/** [vertexCount] 0 at the first end, 1 at the second. */
	shares: Float32Array;
	/** [triangleCount × 3] corners; seen anticlockwise from where the field is lower, in right-handed axes. */
	triangles: Uint32Array;
}

export interface TetrahedraCutter {
	/** Overwritten by every cut. */
	readonly cut: Cut;
	/** Cuts where `field` [nNodes] is `level`; a node at the level counts as below, one that is not a number too.
	 *  Allocates only where a cut is larger than all before. */
	cutAt(field: Float32Array, level: number): Cut;
}

/** Pairs of a tetrahedron's corners, by number of the edge. */
const EDGES = [
	[0, 1],
	[0, 2],
	[0, 3],
	[1, 2],
	[1, 3],
	[2, 3],
] as const;

/** Edges that a cut goes through, three for each triangle, by which corners lie above (bit i for corner i). */
const TRIANGLES: readonly (readonly number[])[] = [
	[],
	[0, 1, 2],
	[0, 4, 3],
	[1, 2, 4, 1, 4, 3],
	[1, 3, 5],
	[0, 3, 5, 0, 5, 2],
	[0, 4, 5, 0, 5, 1],
	[2, 4, 5],
	[2, 5, 4],
	[0, 1, 5, 0, 5, 4],
	[0, 2, 5, 0, 5, 3],
	[1, 5, 3],
	[1, 3, 4, 1, 4, 2],
	[0, 3, 4],
	[0, 2, 1],
	[],
];

const FIRST_TRIANGLES = 4096;
const EMPTY = -1;

/** @param tetrahedra [n × 4] nodes, each tetrahedron of positive volume in right-handed axes */
export function createTetrahedraCutter(tetrahedra: Uint32Array, nodeCount: number): TetrahedraCutter {
	const cut: Cut = {
		vertexCount: 0,
		triangleCount: 0,
		ends: new Uint32Array(2 * FIRST_TRIANGLES),
		shares: new Float32Array(FIRST_TRIANGLES),
		triangles: new Uint32Array(3 * FIRST_TRIANGLES),
	};
	// Corners by edge, in a table with open addressing that is emptied for each cut.
	let slots = new Int32Array(4 * FIRST_TRIANGLES).fill(EMPTY);
	const above = new Uint8Array(nodeCount);

	function makeRoom(): void {
		if (3 * (cut.triangleCount + 2) > cut.triangles.length) {
			const larger = new Uint32Array(2 * cut.triangles.length);
			larger.set(cut.triangles);
			cut.triangles = larger;
		}
		if (cut.vertexCount + 4 > cut.shares.length) {
			const shares = new Float32Array(2 * cut.shares.length);
			const ends = new Uint32Array(2 * cut.ends.length);
			shares.set(cut.shares);
			ends.set(cut.ends);
			cut.shares = shares;
			cut.ends = ends;
			slots = new Int32Array(4 * shares.length).fill(EMPTY);
			for (let v = 0; v < cut.vertexCount; v++) slots[slotOf(ends[2 * v]!, ends[2 * v + 1]!)] = v;
		}
	}

	/** Where the edge's corner is, or would be put. */
	function slotOf(a: number, b: number): number {
		const mask = slots.length - 1;
		let slot = (Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b)) & mask;
		for (;;) {
			const v = slots[slot]!;
			if (v === EMPTY || (cut.ends[2 * v] === a && cut.ends[2 * v + 1] === b)) return slot;
			slot = (slot + 1) & mask;
		}
	}

	function cornerOn(from: number, to: number, field: Float32Array, level: number): number {
		// Both tetrahedra at an edge must get the same bits.
		const a = Math.min(from, to);
		const b = Math.max(from, to);
		const slot = slotOf(a, b);
		const known = slots[slot]!;
		if (known !== EMPTY) return known;
		const v = cut.vertexCount++;
		slots[slot] = v;
		cut.ends[2 * v] = a;
		cut.ends[2 * v + 1] = b;
		const share = (level - field[a]!) / (field[b]! - field[a]!);
		cut.shares[v] = share >= 0 ? Math.min(1, share) : 0;
		return v;
	}

	return {
		cut,
		cutAt(field, level) {
			if (field.length !== nodeCount) throw new RangeError("cut: wrong number of values");
			cut.vertexCount = 0;
			cut.triangleCount = 0;
			slots.fill(EMPTY);
			for (let i = 0; i < nodeCount; i++) above[i] = field[i]! > level ? 1 : 0;
			for (let at = 0; at < tetrahedra.length; at += 4) {
				const mask =
					above[tetrahedra[at]!]! |
					(above[tetrahedra[at + 1]!]! << 1) |
					(above[tetrahedra[at + 2]!]! << 2) |
					(above[tetrahedra[at + 3]!]! << 3);
				if (mask === 0 || mask === 15) continue;
				makeRoom();
				const edges = TRIANGLES[mask]!;
				for (let i = 0; i < edges.length; i++) {
					const [from, to] = EDGES[edges[i]!]!;
					cut.triangles[3 * cut.triangleCount + (i % 3)] = cornerOn(
						tetrahedra[at + from]!,
						tetrahedra[at + to]!,
						field,
						level,
					);
					if (i % 3 === 2) cut.triangleCount++;
				}
			}
			return cut;
		},
	};
}

/** `into` [vertexCount × width] = values [nNodes × width] at the corners of a cut, linear along their edges. */
export function atCut(cut: Cut, values: Float32Array, width: number, into: Float32Array): void {
	const { ends, shares, vertexCount } = cut;
	for (let v = 0; v < vertexCount; v++) {
		const a = ends[2 * v]! * width;
		const b = ends[2 * v + 1]! * width;
		const share = shares[v]!;
		for (let k = 0; k < width; k++)
			into[v * width + k] = values[a + k]! + share * (values[b + k]! - values[a + k]!);
	}
}
