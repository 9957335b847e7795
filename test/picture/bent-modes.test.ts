import { describe, expect, test } from "vitest";
import { type BentModes, createModeFinder } from "../../core/picture/bent-modes.ts";

const VALUES = 30;
/** φ: both modes, the first one's square, their product, the cube of their difference. */
const phiAt = ([a, b]: readonly [number, number]) => [a, b, a * a, a * b, (a - b) ** 3];
const factors = Int16Array.of(0, 0, -1, -1, 0, 1, -1, -1, 2, 2, 2, -1);
const forms = Float64Array.of(1, 0, 0, 1, 1, -1);

/** Values whose noise is even: C = variance · 1. */
function createBent(variance: number) {
	const size = 5;
	const theta = Array.from({ length: size }, (_, j) =>
		Float64Array.from({ length: VALUES }, (_value, i) => Math.sin(1 + (j + 1) * (i + 1) ** 1.3)),
	);
	const weights = new Float32Array(VALUES * size);
	const answers = new Float32Array(size * VALUES);
	const energy = new Float64Array(size * size);
	for (const [j, answer] of theta.entries())
		for (let i = 0; i < VALUES; i++) {
			weights[i * size + j] = answer[i]! / variance;
			answers[j * VALUES + i] = answer[i]!;
			for (const [k, other] of theta.entries()) energy[j * size + k]! += (answer[i]! * other[i]!) / variance;
		}
	const model: BentModes = {
		unit: Float64Array.of(0.01, 0.1),
		forms,
		factors,
		weights: { values: weights, rowCount: size, columnCount: VALUES, rowStride: size },
		answers: { values: answers, rowCount: VALUES, columnCount: size, rowStride: VALUES },
		energy,
		reach: 1.3,
	};
	const valuesAt = (p: readonly [number, number]) =>
		Float32Array.from({ length: VALUES }, (_, i) =>
			phiAt(p).reduce((sum, phi, j) => sum + phi * theta[j]![i]!, 0),
		);
	return { finder: createModeFinder(model), valuesAt, lines: theta.slice(0, 2) };
}

/** What of the values is no sum of the lines (Gram and Schmidt). */
function without(values: Float32Array, lines: readonly Float64Array[]): number[] {
	const product = (a: ArrayLike<number>, b: ArrayLike<number>) =>
		Array.from(a).reduce((sum, x, i) => sum + x * b[i]!, 0);
	const axes: number[][] = [];
	let rest = Array.from(values);
	for (const line of lines) {
		let axis = Array.from(line);
		for (const other of axes) {
			const share = product(axis, other);
			axis = axis.map((x, i) => x - share * other[i]!);
		}
		const length = Math.hypot(...axis);
		axis = axis.map((x) => x / length);
		axes.push(axis);
		const share = product(rest, axis);
		rest = rest.map((x, i) => x - share * axis[i]!);
	}
	return rest;
}

describe("modes along a curve", () => {
	test.each<{ readonly p: readonly [number, number] }>([
		{ p: [0.3, 0] },
		{ p: [1, -1] },
		{ p: [-0.9, 0.8] },
		{ p: [1, 1] },
	])("$p is found, and taken off", ({ p }) => {
		const { finder, valuesAt, lines } = createBent(1e-4);
		const values = valuesAt(p);
		const before = Math.hypot(...values);
		finder.straighten(values);
		expect(finder.modes[0]! / 0.01).toBeCloseTo(p[0], 2);
		expect(finder.modes[1]! / 0.1).toBeCloseTo(p[1], 2);
		// what is left is what straight modes do: that the picture's matrix takes off
		expect(Math.hypot(...without(values, lines))).toBeLessThan(0.02 * before);
	});

	test("where noise is large, no movement is more likely", () => {
		const { finder, valuesAt } = createBent(1e4);
		finder.straighten(valuesAt([1, 1]));
		for (const mode of finder.modes) expect(Math.abs(mode)).toBeLessThan(1e-3);
	});

	test("modes beyond reach stop there", () => {
		const { finder, valuesAt } = createBent(1e-4);
		finder.straighten(valuesAt([3, 3]));
		expect(Math.abs(finder.modes[0]!) / 0.01).toBeLessThan(1.3001);
		expect(Math.abs(finder.modes[1]!) / 0.1).toBeLessThan(1.3001);
	});
});
