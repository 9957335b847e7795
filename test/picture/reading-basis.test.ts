import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import { foldInto } from "../../core/picture/fold.ts";
import { cellAreas, everyCell } from "../../core/picture/image-rows.ts";
import { MatrixProducts } from "../../core/picture/kernel/matrix-products.ts";
import { addSquares, createPrior, type PriorName } from "../../core/picture/prior.ts";
import { createReadingBasis } from "../../core/picture/reading-basis.ts";
import { createReconstruction, type Reconstruction } from "../../core/picture/reconstruction.ts";
import { sensitivity } from "../../core/picture/sensitivity.ts";
import { createDiscMesh, createDiscSubject, trianglesOf } from "./create-disc.ts";
import { createRandom, multiply, relativeDifference, solve, transpose } from "./plain-algebra.ts";

function createProblem(drive: "adjacent" | "skip-3", electrodeCount: number) {
	const mesh = createDiscMesh({ electrodeCount, triangles: 900 });
	const cells = trianglesOf(mesh);
	const sigma = new Float64Array(cells).fill(0.3);
	const field = createMeshSolver(mesh).solve(sigma, createDiscSubject(electrodeCount).contactImpedance);
	const pattern = createPattern(electrodeCount, drive);
	const readingCount = pattern.terminals.length / 4;
	const random = createRandom(5);
	const deviation = Float64Array.from({ length: readingCount }, () => 1e-3 * 2 ** random());
	return { mesh, cells, sigma, field, pattern, readingCount, deviation };
}

function build(
	problem: ReturnType<typeof createProblem>,
	prior: PriorName,
	mayReduce: boolean,
): Reconstruction {
	return createReconstruction({
		...problem,
		ohmPerUnit: new Float64Array(problem.readingCount).fill(1),
		prior,
		rule: "noise-figure",
		mayReduce,
	});
}

/** [cells] */
function apply({ fold, projection, cellCount, matrixOf }: Reconstruction, y: Float64Array): Float64Array {
	const whitened = new Float64Array(fold.count);
	foldInto(fold, y, whitened);
	const times = (
		{ values, rowCount, rowStride }: NonNullable<Reconstruction["projection"]>,
		x: Float64Array,
	) => {
		const result = new Float64Array(rowCount);
		for (let j = 0; j < x.length; j++) {
			for (let i = 0; i < rowCount; i++) result[i]! += values[j * rowStride + i]! * x[j]!;
		}
		return result;
	};
	return times(matrixOf(everyCell(cellCount)), projection === null ? whitened : times(projection, whitened));
}

// The claim is 1e-4 of the matrix; noise alone, which uses every part of it, is the hardest to picture.
test.each([
	["adjacent", "diagonal", 32],
	["skip-3", "diagonal", 26],
	["adjacent", "laplace", 26],
] as const)(
	"fewer values give the picture of all readings within 1e-4 (%s, %s)",
	(drive, prior, electrodeCount) => {
		const problem = createProblem(drive, electrodeCount);
		const exact = build(problem, prior, false);
		const reduced = build(problem, prior, true);
		expect(exact.projection).toBeNull();
		expect(reduced.projection!.rowCount).toBeLessThan(0.9 * exact.fold.count);
		expect(reduced.strength.lambda / exact.strength.lambda).toBeCloseTo(1, 4);
		const random = createRandom(8);
		const noise = problem.deviation.map((s) => s * random());
		const rows = sensitivity(problem.mesh, problem.field, problem.pattern.terminals);
		const body = Float64Array.from({ length: problem.readingCount }, (_, r) => rows[r * problem.cells + 7]!);
		for (const y of [noise, body]) {
			expect(relativeDifference(apply(reduced, y), apply(exact, y))).toBeLessThan(1e-4);
		}
	},
);

test("fewer values give the picture of the plain formula, reading by reading", () => {
	const problem = createProblem("skip-3", 26);
	const { mesh, cells, field, pattern, readingCount: n, deviation } = problem;
	const reduced = build(problem, "diagonal", true);
	expect(reduced.projection!.rowCount).toBeLessThan(0.9 * reduced.fold.count);
	const whitened = sensitivity(mesh, field, pattern.terminals).map(
		(value, i) => value / deviation[Math.floor(i / cells)]!,
	);
	const squares = new Float64Array(cells);
	addSquares({ rowCount: n, stride: cells, left: whitened }, squares);
	const right = whitened.map((value, i) => value / Math.sqrt(squares[i % cells]!));
	const data = multiply(whitened, transpose(right, n, cells), n, cells, n);
	let trace = 0;
	for (let r = 0; r < n; r++) trace += data[r * n + r]!;
	const strength = (reduced.strength.lambda ** 2 * trace) / reduced.fold.count;
	for (let r = 0; r < n; r++) data[r * n + r]! += strength;
	const y = Float64Array.from({ length: n }, createRandom(2));
	const answer = solve(
		data,
		y.map((v, r) => v / deviation[r]!),
	);
	const plain = multiply(transpose(right, n, cells), answer, cells, n, 1);
	expect(relativeDifference(apply(reduced, y), plain)).toBeLessThan(1e-4);
});

test.each(["diagonal", "laplace"] as const)("the root of the %s prior gives its inner products", (name) => {
	const mesh = createDiscMesh({ electrodeCount: 8, triangles: 300 });
	const areas = cellAreas(mesh);
	const cells = areas.length;
	const left = Float64Array.from({ length: 3 * cells }, createRandom(2));
	const right = new Float64Array(3 * cells);
	const prior = createPrior(
		name,
		mesh,
		areas,
		areas.map((_, k) => 0.1 + (k % 3)),
		areas.map((a) => 1 / a),
	);
	prior.apply({ rowCount: 3, stride: cells, left, right });
	const root = new Float64Array(3 * prior.rootLength);
	prior.rootInto({ rowCount: 3, stride: cells, left }, root);
	const fromRoot = multiply(root, transpose(root, 3, prior.rootLength), 3, prior.rootLength, 3);
	const direct = multiply(left, transpose(right, 3, cells), 3, cells, 3);
	expect(relativeDifference(fromRoot, direct)).toBeLessThan(1e-12);
});

test("a basis of rows rebuilds a matrix of low rank, with orthonormal values", () => {
	const random = createRandom(3);
	const [n, rank, width] = [80, 12, 100];
	const low = multiply(
		Float64Array.from({ length: n * rank }, random),
		Float64Array.from({ length: rank * width }, random),
		n,
		rank,
		width,
	);
	const sketch = new MatrixProducts(n, width);
	for (let i = 0; i < n; i++) sketch.left.set(low.subarray(i * width, (i + 1) * width), i * sketch.stride);
	const { rows, projection, mix } = createReadingBasis(sketch)!;
	const r = rows.length;
	expect(r).toBeLessThanOrEqual(rank + 2);
	const identity = multiply(projection, transpose(projection, r, n), r, n, r);
	for (let i = 0; i < r * r; i++) expect(identity[i]).toBeCloseTo(i % (r + 1) === 0 ? 1 : 0, 8);
	const picked = new Float64Array(r * width);
	for (const [i, row] of rows.entries()) picked.set(low.subarray(row * width, (row + 1) * width), i * width);
	const values = multiply(transpose(mix, r, r), picked, r, r, width);
	const rebuilt = multiply(transpose(projection, r, n), values, n, r, width);
	expect(relativeDifference(rebuilt, low)).toBeLessThan(1e-7);
});

test("rows that are all independent are left as they are", () => {
	const random = createRandom(3);
	const sketch = new MatrixProducts(40, 80);
	for (let i = 0; i < sketch.left.length; i++) sketch.left[i] = random();
	expect(createReadingBasis(sketch)).toBeNull();
});
