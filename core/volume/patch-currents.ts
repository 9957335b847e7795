import { choleskyInPlace } from "../picture/dense.ts";
import { solveLower, solveUpper } from "./dense-solve.ts";
import type { ElectrodePatch } from "./electrode-patch.ts";

/** A few distributions of current under one electrode that stand for all that occur. */
export interface PatchCurrents {
	readonly count: number;
	/** [count × n] currents per node, A; orthonormal with respect to the electrode's own resistance. */
	readonly values: Float64Array;
	/** [count] what flows in all, A */
	readonly totals: Float64Array;
}

/** Degree of the potentials in both directions together. */
const DEGREE = 3;

/**
 * Currents that answer smooth potentials. What the other electrodes do to the skin under this one is smooth there, for
 * their distance is at least that of the electrode's width; so its current is nearly H⁻¹ of a polynomial of low degree,
 * with H its own resistance, however steep the current is at the electrode's edges.
 *
 * @param resistance [n × n] H, lower triangle; overwritten
 */
export function patchCurrents({ arc, height }: ElectrodePatch, resistance: Float64Array): PatchCurrents {
	const around = arc.nodes.length;
	const along = height.count;
	const n = around * along;
	choleskyInPlace(resistance, n);
	const columns = Array.from(arc.positions, legendreValues);
	const rows = Array.from(height.positions, legendreValues);
	const ones = new Float64Array(n).fill(1);
	solveLower(resistance, n, ones);
	const found: Float64Array[] = [];
	for (let d = 0; d <= DEGREE; d++)
		for (let e = 0; d + e <= DEGREE; e++) {
			const potential = new Float64Array(n);
			for (let i = 0; i < around; i++)
				for (let s = 0; s < along; s++) potential[i * along + s] = columns[i]![d]! * rows[s]![e]!;
			solveLower(resistance, n, potential);
			// once more, for the first round leaves round-off times what it takes away
			for (const _ of [1, 2]) for (const other of found) subtract(potential, other, dot(potential, other));
			const length = Math.sqrt(dot(potential, potential));
			for (let i = 0; i < n; i++) potential[i]! /= length;
			found.push(potential);
		}
	const totals = Float64Array.from(found, (half) => dot(half, ones));
	const values = new Float64Array(found.length * n);
	for (const [r, half] of found.entries()) {
		solveUpper(resistance, n, half);
		values.set(half, r * n);
	}
	return { count: found.length, values, totals };
}

/** P₀ … P of `DEGREE` at x (Abramowitz & Stegun 22.7.10). */
function legendreValues(x: number): number[] {
	const values = [1, x];
	for (let k = 2; k <= DEGREE; k++)
		values.push(((2 * k - 1) * x * values[k - 1]! - (k - 1) * values[k - 2]!) / k);
	return values;
}

function dot(x: Float64Array, y: Float64Array): number {
	let sum = 0;
	for (let i = 0; i < x.length; i++) sum += x[i]! * y[i]!;
	return sum;
}

function subtract(x: Float64Array, y: Float64Array, factor: number): void {
	for (let i = 0; i < x.length; i++) x[i]! -= factor * y[i]!;
}
