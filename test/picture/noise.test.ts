import { expect, test } from "vitest";
import { createPattern, patternFromRows } from "../../core/band/patterns.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { noiseFromReciprocity } from "../../core/picture/noise.ts";
import { createDiscMesh, createDiscSubject, trianglesOf } from "./create-disc.ts";
import { createRandom } from "./plain-algebra.ts";

const pattern = createPattern(16, "adjacent");
const one = new Float64Array(208).fill(1);

/** Changes that a reciprocal medium can show, plus noise of a deviation per drive. */
function createChanges(deviationOf: (drive: number) => number, count = 40): Float64Array[] {
	const mesh = createDiscMesh();
	const cells = trianglesOf(mesh);
	const solver = createMeshSolver(mesh);
	const { contactImpedance } = createDiscSubject();
	const rest = readingsFrom(solver.solve(new Float64Array(cells).fill(0.3), contactImpedance), pattern, 1);
	const random = createRandom(21);
	return Array.from({ length: count }, () => {
		const sigma = Float64Array.from({ length: cells }, () => 0.3 * (1 + 0.3 * random()));
		const readings = readingsFrom(solver.solve(sigma, contactImpedance), pattern, 1);
		// uniform in ±√3 has deviation 1
		return readings.map((v, r) => v - rest[r]! + deviationOf(Math.floor(r / 13)) * Math.sqrt(3) * random());
	});
}

const rms = (changes: readonly Float64Array[]) =>
	Math.sqrt(changes.reduce((sum, c) => sum + c.reduce((a, v) => a + v * v, 0), 0) / (208 * changes.length));

test("without mismatch only the model's own error is left, even over readings", () => {
	const changes = createChanges(() => 0);
	const deviation = noiseFromReciprocity(pattern, changes, one);
	for (const s of deviation) expect(s / (0.05 * rms(changes))).toBeCloseTo(1, 6);
});

test("even noise is found again to a few percent", () => {
	const noise = 0.3;
	const changes = createChanges(() => noise);
	const deviation = noiseFromReciprocity(pattern, changes, one);
	const wanted = Math.hypot(noise, 0.05 * rms(changes));
	const mean = deviation.reduce((sum, s) => sum + s, 0) / 208;
	expect(mean / wanted).toBeGreaterThan(0.95);
	expect(mean / wanted).toBeLessThan(1.05);
});

test("a drive that disagrees with all others is trusted less", () => {
	const deviation = noiseFromReciprocity(
		pattern,
		createChanges((drive) => (drive === 5 ? 1 : 0.05)),
		one,
	);
	const ofDrive = (drive: number) => deviation[13 * drive]!;
	for (let drive = 0; drive < 16; drive++) {
		if (drive !== 5) expect(ofDrive(5)).toBeGreaterThan(2 * ofDrive(drive));
	}
});

test("readings missing in one frame are left out of all, and units do not matter", () => {
	const changes = createChanges(() => 0.1, 3);
	const inMilli = changes.map((change) => change.map((v) => 1e3 * v));
	changes[1]![17] = Number.NaN;
	inMilli[1]![17] = Number.NaN;
	const deviation = noiseFromReciprocity(pattern, changes, one);
	expect(deviation[17]).toBe(Infinity);
	expect(deviation.filter((s) => s === Infinity).length).toBe(1);
	const milli = noiseFromReciprocity(pattern, inMilli, new Float64Array(208).fill(1e-3));
	for (const r of [0, 16, 18, 207]) expect(milli[r]! / deviation[r]!).toBeCloseTo(1e3, 6);
});

test("a pattern without ties between readings, or frames of zeros, give even noise", () => {
	const lonely = patternFromRows("lonely", 8, [
		[0, 1, 2, 3],
		[0, 1, 4, 5],
	]);
	const deviation = noiseFromReciprocity(lonely, [Float64Array.of(1, 2)], Float64Array.of(1, 1));
	expect(deviation[0]).toBe(deviation[1]);
	expect(Array.from(noiseFromReciprocity(lonely, [new Float64Array(2)], Float64Array.of(1, 1)))).toEqual([
		1, 1,
	]);
});
