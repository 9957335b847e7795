/** Triangles with straight sides and linear functions (order 1: 3 nodes per triangle, 2 per edge), or curved ones
 *  with quadratic functions (order 2: corners, then the middles of the sides 0–1, 1–2, 2–0; edges: both ends, then
 *  the middle). Lengths in metres; triangles anticlockwise. */
export interface ElementMesh {
	readonly order: 1 | 2;
	/** [nNodes × 2] */
	readonly nodes: Float64Array;
	/** The potentials of so many of the first nodes are of interest. */
	readonly reportedNodes: number;
	/** [nTriangles × 3 or 6] */
	readonly triangles: Uint32Array;
	/** [nEdges × 2 or 3] boundary edges under electrodes. */
	readonly electrodeEdges: Uint32Array;
	/** [nEdges] */
	readonly electrodeOfEdge: Uint16Array;
	readonly electrodeCount: number;
}

/** What the conductivity's part needs. */
type Triangles = Pick<ElementMesh, "order" | "nodes" | "triangles">;

/** Corners in the first rows, in barycentric coordinates. Degree 5, 7 points: Radon, Monatsh. Math. 52:286, 1948. */
const R15 = Math.sqrt(15);
const A1 = (6 - R15) / 21;
const A2 = (6 + R15) / 21;
const W1 = (155 - R15) / 1200;
const W2 = (155 + R15) / 1200;
const TRIANGLE_RULE: readonly (readonly [number, number, number, number])[] = [
	[1 / 3, 1 / 3, 1 / 3, 9 / 40],
	[1 - 2 * A1, A1, A1, W1],
	[A1, 1 - 2 * A1, A1, W1],
	[A1, A1, 1 - 2 * A1, W1],
	[1 - 2 * A2, A2, A2, W2],
	[A2, 1 - 2 * A2, A2, W2],
	[A2, A2, 1 - 2 * A2, W2],
];

/** Gauss–Legendre on [0, 1], exact to degree 7. */
const G1 = Math.sqrt(3 / 7 - (2 / 7) * Math.sqrt(6 / 5));
const G2 = Math.sqrt(3 / 7 + (2 / 7) * Math.sqrt(6 / 5));
const V1 = (18 + Math.sqrt(30)) / 72;
const V2 = (18 - Math.sqrt(30)) / 72;
const EDGE_RULE: readonly (readonly [number, number])[] = [
	[(1 - G2) / 2, V2],
	[(1 - G1) / 2, V1],
	[(1 + G1) / 2, V1],
	[(1 + G2) / 2, V2],
];

/**
 * ∫ ∇φᵢ·∇φⱼ over each triangle (no unit in 2D: times S/m gives S per metre of height).
 *
 * @returns [nTriangles × 6 or 21] packed lower triangles by rows
 * @throws RangeError naming the first triangle that is not anticlockwise
 */
export function triangleMatrices(mesh: Triangles): Float64Array {
	return mesh.order === 1 ? linearTriangles(mesh) : quadraticTriangles(mesh);
}

function linearTriangles({ nodes, triangles }: Triangles): Float64Array {
	const count = triangles.length / 3;
	const matrices = new Float64Array(count * 6);
	for (let t = 0; t < count; t++) {
		const n0 = 2 * triangles[3 * t]!;
		const n1 = 2 * triangles[3 * t + 1]!;
		const n2 = 2 * triangles[3 * t + 2]!;
		const x0 = nodes[n0]!;
		const y0 = nodes[n0 + 1]!;
		const x1 = nodes[n1]!;
		const y1 = nodes[n1 + 1]!;
		const x2 = nodes[n2]!;
		const y2 = nodes[n2 + 1]!;
		const twiceArea = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
		if (!(twiceArea > 0)) throw new RangeError(`triangle ${t} is not anticlockwise`);
		const k = 0.5 / twiceArea;
		const b0 = y1 - y2;
		const b1 = y2 - y0;
		const b2 = y0 - y1;
		const c0 = x2 - x1;
		const c1 = x0 - x2;
		const c2 = x1 - x0;
		const at = 6 * t;
		matrices[at] = k * (b0 * b0 + c0 * c0);
		matrices[at + 1] = k * (b1 * b0 + c1 * c0);
		matrices[at + 2] = k * (b1 * b1 + c1 * c1);
		matrices[at + 3] = k * (b2 * b0 + c2 * c0);
		matrices[at + 4] = k * (b2 * b1 + c2 * c1);
		matrices[at + 5] = k * (b2 * b2 + c2 * c2);
	}
	return matrices;
}

/** ∂x/∂u, ∂x/∂v, ∂y/∂u, ∂y/∂v of a curved triangle at a point, m. */
type CornerMap = [number, number, number, number];

/** At the point with the slopes given.
 *  @returns the map's determinant, m²
 *  @throws RangeError naming the triangle if it folds over itself */
function mapInto(
	map: CornerMap,
	{ nodes, triangles }: Pick<ElementMesh, "nodes" | "triangles">,
	t: number,
	du: ArrayLike<number>,
	dv: ArrayLike<number>,
): number {
	let xu = 0;
	let xv = 0;
	let yu = 0;
	let yv = 0;
	for (let i = 0; i < 6; i++) {
		const node = 2 * triangles[6 * t + i]!;
		xu += nodes[node]! * du[i]!;
		xv += nodes[node]! * dv[i]!;
		yu += nodes[node + 1]! * du[i]!;
		yv += nodes[node + 1]! * dv[i]!;
	}
	const determinant = xu * yv - xv * yu;
	if (!(determinant > 0)) throw new RangeError(`triangle ${t} is not anticlockwise or folds over itself`);
	map[0] = xu;
	map[1] = xv;
	map[2] = yu;
	map[3] = yv;
	return determinant;
}

function quadraticTriangles(mesh: Triangles): Float64Array {
	const count = mesh.triangles.length / 6;
	const map: CornerMap = [0, 0, 0, 0];
	const matrices = new Float64Array(count * 21);
	const gx = new Float64Array(6);
	const gy = new Float64Array(6);
	const shapes = TRIANGLE_RULE.map(([l0, l1, l2, weight]) => ({ weight, ...quadraticSlopes(l0, l1, l2) }));
	for (let t = 0; t < count; t++) {
		for (const { weight, du, dv } of shapes) {
			const determinant = mapInto(map, mesh, t, du, dv);
			const [xu, xv, yu, yv] = map;
			for (let i = 0; i < 6; i++) {
				gx[i] = (yv * du[i]! - yu * dv[i]!) / determinant;
				gy[i] = (xu * dv[i]! - xv * du[i]!) / determinant;
			}
			const w = (weight * determinant) / 2;
			let at = 21 * t;
			for (let i = 0; i < 6; i++)
				for (let j = 0; j <= i; j++) matrices[at++]! += w * (gx[i]! * gx[j]! + gy[i]! * gy[j]!);
		}
	}
	return matrices;
}

/**
 * ∫ φᵢ·φⱼ over each triangle with quadratic functions, m².
 *
 * @returns [nTriangles × 21] packed lower triangles by rows
 * @throws RangeError naming the first triangle that folds over itself
 */
export function quadraticMasses(mesh: Pick<ElementMesh, "nodes" | "triangles">): Float64Array {
	const count = mesh.triangles.length / 6;
	const map: CornerMap = [0, 0, 0, 0];
	const matrices = new Float64Array(count * 21);
	const shapes = TRIANGLE_RULE.map(([l0, l1, l2, weight]) => ({
		weight,
		values: quadraticValues(l0, l1, l2),
		...quadraticSlopes(l0, l1, l2),
	}));
	for (let t = 0; t < count; t++) {
		for (const { weight, values, du, dv } of shapes) {
			const determinant = mapInto(map, mesh, t, du, dv);
			const w = (weight * determinant) / 2;
			let at = 21 * t;
			for (let i = 0; i < 6; i++) for (let j = 0; j <= i; j++) matrices[at++]! += w * values[i]! * values[j]!;
		}
	}
	return matrices;
}

function quadraticValues(l0: number, l1: number, l2: number): readonly number[] {
	return [l0 * (2 * l0 - 1), l1 * (2 * l1 - 1), l2 * (2 * l2 - 1), 4 * l0 * l1, 4 * l1 * l2, 4 * l2 * l0];
}

/** Slopes of the six quadratic functions with respect to u = λ₁ and v = λ₂ (λ₀ = 1 − u − v). */
function quadraticSlopes(l0: number, l1: number, l2: number) {
	return {
		du: [1 - 4 * l0, 4 * l1 - 1, 0, 4 * (l0 - l1), 4 * l2, -4 * l2],
		dv: [1 - 4 * l0, 0, 4 * l2 - 1, -4 * l1, 4 * l1, 4 * (l0 - l2)],
	};
}

/**
 * ∫ (φ − 1ₑ)(φ − 1ₑ)ᵀ along each electrode edge, the electrode's own potential as last unknown: divided by the
 * contact impedance (Ω·m²) this is what the edge adds to the complete electrode model's matrix.
 *
 * @returns [nEdges × 6 or 10] packed lower triangles by rows, metres
 */
export function edgeMatrices({ order, nodes, electrodeEdges }: ElementMesh): Float64Array {
	const perEdge = order + 1;
	const size = perEdge + 1;
	const entries = (size * (size + 1)) / 2;
	const count = electrodeEdges.length / perEdge;
	const matrices = new Float64Array(count * entries);
	const values = new Float64Array(size);
	values[perEdge] = -1;
	for (let e = 0; e < count; e++) {
		const a = 2 * electrodeEdges[perEdge * e]!;
		const b = 2 * electrodeEdges[perEdge * e + 1]!;
		const m = order === 2 ? 2 * electrodeEdges[perEdge * e + 2]! : a;
		for (const [s, weight] of EDGE_RULE) {
			let dx = nodes[b]! - nodes[a]!;
			let dy = nodes[b + 1]! - nodes[a + 1]!;
			if (order === 1) {
				values[0] = 1 - s;
				values[1] = s;
			} else {
				values[0] = (1 - s) * (1 - 2 * s);
				values[1] = s * (2 * s - 1);
				values[2] = 4 * s * (1 - s);
				const bend = 4 - 8 * s;
				dx = nodes[a]! * (4 * s - 3) + nodes[b]! * (4 * s - 1) + nodes[m]! * bend;
				dy = nodes[a + 1]! * (4 * s - 3) + nodes[b + 1]! * (4 * s - 1) + nodes[m + 1]! * bend;
			}
			const w = weight * Math.hypot(dx, dy);
			let at = e * entries;
			for (let i = 0; i < size; i++)
				for (let j = 0; j <= i; j++) matrices[at++]! += w * values[i]! * values[j]!;
		}
	}
	return matrices;
}
