import { faceNormalInto, tetrahedronVolume, type VolumeMesh } from "./volume-mesh.ts";

/** Of linear functions: slopes of the four on a tetrahedron, [4 × 3] 1/m, times six volumes. Overwrites `into`. */
export function scaledSlopes(
	nodes: Float64Array,
	tetrahedra: Uint32Array,
	at: number,
	into: Float64Array,
): void {
	for (let i = 0; i < 4; i++) {
		// the face opposite to corner i, seen from it: its normal with twice its area as length
		const a = 3 * tetrahedra[at + ((i + 1) & 3)]!;
		const b = 3 * tetrahedra[at + ((i + 2) & 3)]!;
		const c = 3 * tetrahedra[at + ((i + 3) & 3)]!;
		// every other face is seen from outside with its corners in this order
		if ((i & 1) === 0) faceNormalInto(nodes, a, c, b, into, 3 * i);
		else faceNormalInto(nodes, a, b, c, into, 3 * i);
	}
}

/**
 * ∫ ∇φᵢ·∇φⱼ over each tetrahedron, m.
 *
 * @returns [nTetrahedra × 10] packed lower triangles by rows
 * @throws RangeError naming the first tetrahedron that is turned inside out
 */
export function tetrahedronMatrices({ nodes, tetrahedra }: VolumeMesh): Float64Array {
	const count = tetrahedra.length / 4;
	const matrices = new Float64Array(10 * count);
	const slopes = new Float64Array(12);
	for (let t = 0; t < count; t++) {
		const volume = tetrahedronVolume(nodes, tetrahedra, 4 * t);
		if (!(volume > 0)) throw new RangeError(`tetrahedron ${t} is turned inside out`);
		scaledSlopes(nodes, tetrahedra, 4 * t, slopes);
		const scale = 1 / (36 * volume);
		let at = 10 * t;
		for (let i = 0; i < 12; i += 3)
			for (let j = 0; j <= i; j += 3)
				matrices[at++] =
					scale *
					(slopes[i]! * slopes[j]! + slopes[i + 1]! * slopes[j + 1]! + slopes[i + 2]! * slopes[j + 2]!);
	}
	return matrices;
}

/**
 * ∫ (φ − 1ₑ)(φ − 1ₑ)ᵀ over each face under an electrode, the electrode's own potential as last unknown; divided by the
 * contact impedance (Ω·m²) this is what the face adds to the complete electrode model's matrix.
 *
 * @returns [nFaces × 10] packed lower triangles by rows, m²
 */
export function faceMatrices({ nodes, electrodeFaces }: VolumeMesh): Float64Array {
	const count = electrodeFaces.length / 3;
	const matrices = new Float64Array(10 * count);
	for (let f = 0; f < count; f++) {
		const [a, b, c] = [0, 1, 2].map((i) => 3 * electrodeFaces[3 * f + i]!) as [number, number, number];
		const one = [0, 1, 2].map((axis) => nodes[b + axis]! - nodes[a + axis]!) as [number, number, number];
		const two = [0, 1, 2].map((axis) => nodes[c + axis]! - nodes[a + axis]!) as [number, number, number];
		const area =
			Math.hypot(
				one[1] * two[2] - one[2] * two[1],
				one[2] * two[0] - one[0] * two[2],
				one[0] * two[1] - one[1] * two[0],
			) / 2;
		const [own, other, electrode] = [area / 6, area / 12, -area / 3];
		matrices.set([own, other, own, other, other, own, electrode, electrode, electrode, area], 10 * f);
	}
	return matrices;
}
