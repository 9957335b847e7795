import { choleskyInPlace } from "./dense.ts";
import { createStreamingProduct } from "./kernel/streaming-product.ts";
import type { TransposedMatrix } from "./reconstruction.ts";

/**
 * Modes of a nuisance (see `nuisance.ts`) that readings follow along a curve: with p the modes in standard deviations, the
 * values z that a picture is made of are Θ·φ(p) beside what conductivity does. φ are the modes themselves and then terms,
 * products of up to four linear forms of p.
 *
 * With C the covariance of all but the modes, p makes (z − Θ·φ)ᵀ·C⁻¹·(z − Θ·φ) + pᵀ·p least: the most probable movement
 * beside the most probable picture.
 */
export interface BentModes {
	/** [modes] one standard deviation in the mode's unit. */
	readonly unit: Float64Array;
	/** [nForms × modes] */
	readonly forms: Float64Array;
	/** [nTerms × 4] numbers of a term's forms, then −1. */
	readonly factors: Int16Array;
	/** ΘᵀC⁻¹ from z, transposed as in `PictureMatrix`; φ.length rows. */
	readonly weights: TransposedMatrix;
	/** Θ from φ, transposed: a row of z for each. */
	readonly answers: TransposedMatrix;
	/** [φ.length × φ.length] ΘᵀC⁻¹Θ */
	readonly energy: Float64Array;
	/** Modes are sought within so many standard deviations: beyond, nothing is known of the curve. */
	readonly reach: number;
}

/** Finds the modes of one frame after the other. */
export interface ModeFinder {
	/** [modes] of the last frame, each in its unit. */
	readonly modes: Float32Array;
	/** Takes off z what the modes do, but for a part that the picture's matrix, which knows of straight modes of a likely
	 *  size, takes off itself. Allocates nothing. @param values z, changed in place */
	straighten(values: Float32Array): void;
}

const MOST_STEPS = 25;
const SMALL_STEP = 1e-3;
/** A step that makes things worse is halved so often. */
const MOST_HALVINGS = 6;

/** By Gauss and Newton's method, always begun at no movement, so that a frame's picture does not hang on those before. */
export function createModeFinder(model: BentModes): ModeFinder {
	const { unit, forms, factors, weights, answers, energy, reach } = model;
	const count = unit.length;
	const size = weights.rowCount;
	const formCount = forms.length / count;
	const weighed = createStreamingProduct(weights.values, size, weights.columnCount, weights.rowStride);
	const answered = createStreamingProduct(answers.values, answers.rowCount, size, answers.rowStride);
	const modes = new Float32Array(count);
	const p = new Float64Array(count);
	const trial = new Float64Array(count);
	const ofForm = new Float64Array(formCount);
	const phi = new Float64Array(size);
	/** [size × count] ∂φ/∂p */
	const slopes = new Float64Array(size * count);
	/** [size] ΘᵀC⁻¹·(z − Θ·φ) */
	const left = new Float64Array(size);
	const half = new Float64Array(size * count);
	const normal = new Float64Array(count * count);
	const step = new Float64Array(count);

	/** Sets φ and what is left. @returns what is to be least, but for a constant */
	function costAt(at: Float64Array): number {
		for (let f = 0; f < formCount; f++) {
			let sum = 0;
			for (let m = 0; m < count; m++) sum += forms[f * count + m]! * at[m]!;
			ofForm[f] = sum;
		}
		for (let m = 0; m < count; m++) phi[m] = at[m]!;
		for (let j = count; j < size; j++) {
			let product = 1;
			for (let i = 4 * (j - count); i < 4 * (j - count) + 4; i++)
				if (factors[i]! >= 0) product *= ofForm[factors[i]!]!;
			phi[j] = product;
		}
		let cost = 0;
		for (let j = 0; j < size; j++) {
			let sum = 0;
			for (let k = 0; k < size; k++) sum += energy[j * size + k]! * phi[k]!;
			left[j] = weighed.output[j]! - sum;
			cost -= phi[j]! * (weighed.output[j]! + left[j]!);
		}
		for (let m = 0; m < count; m++) cost += at[m]! * at[m]!;
		return cost;
	}

	/** Of the terms at the forms of the last `costAt`; those of the modes themselves never change. */
	function slopesNow(): void {
		slopes.fill(0, count * count);
		for (let j = count; j < size; j++) {
			const first = 4 * (j - count);
			for (let i = first; i < first + 4; i++) {
				if (factors[i]! < 0) continue;
				let others = 1;
				for (let k = first; k < first + 4; k++)
					if (k !== i && factors[k]! >= 0) others *= ofForm[factors[k]!]!;
				for (let m = 0; m < count; m++) slopes[j * count + m]! += others * forms[factors[i]! * count + m]!;
			}
		}
	}
	for (let m = 0; m < count; m++) slopes[m * count + m] = 1;

	/** Sets `step` from p. */
	function findStep(): void {
		slopesNow();
		for (let j = 0; j < size; j++)
			for (let m = 0; m < count; m++) {
				let sum = 0;
				for (let k = 0; k < size; k++) sum += energy[j * size + k]! * slopes[k * count + m]!;
				half[j * count + m] = sum;
			}
		for (let m = 0; m < count; m++) {
			let slope = -p[m]!;
			for (let j = 0; j < size; j++) slope += slopes[j * count + m]! * left[j]!;
			step[m] = slope;
			for (let k = 0; k <= m; k++) {
				let sum = m === k ? 1 : 0;
				for (let j = 0; j < size; j++) sum += slopes[j * count + m]! * half[j * count + k]!;
				normal[m * count + k] = sum;
			}
		}
		choleskyInPlace(normal, count);
		for (let m = 0; m < count; m++) {
			for (let k = 0; k < m; k++) step[m]! -= normal[m * count + k]! * step[k]!;
			step[m]! /= normal[m * count + m]!;
		}
		for (let m = count - 1; m >= 0; m--) {
			for (let k = m + 1; k < count; k++) step[m]! -= normal[k * count + m]! * step[k]!;
			step[m]! /= normal[m * count + m]!;
		}
	}

	function seek(): void {
		p.fill(0);
		let cost = costAt(p);
		for (let i = 0; i < MOST_STEPS; i++) {
			findStep();
			let share = 1;
			let longest = 0;
			let isBetter = false;
			for (let halving = 0; halving <= MOST_HALVINGS && !isBetter; halving++) {
				longest = 0;
				for (let m = 0; m < count; m++) {
					trial[m] = Math.max(-reach, Math.min(reach, p[m]! + share * step[m]!));
					longest = Math.max(longest, Math.abs(trial[m]! - p[m]!));
				}
				const next = costAt(trial);
				isBetter = next <= cost;
				if (isBetter) cost = next;
				share /= 2;
			}
			if (isBetter) p.set(trial);
			else costAt(p);
			if (!isBetter || longest < SMALL_STEP) return;
		}
	}

	return {
		modes,
		straighten(values) {
			weighed.input.set(values);
			weighed.run();
			seek();
			for (let m = 0; m < count; m++) modes[m] = unit[m]! * p[m]!;
			// x = P·Aᵀ·C⁻¹·(z − Θφ) as what a matrix of (C + N·Nᵀ)⁻¹ makes of z − Θφ + N·Nᵀ·C⁻¹·(z − Θφ)
			for (let j = 0; j < size; j++) answered.input[j] = phi[j]! - (j < count ? left[j]! : 0);
			answered.run();
			for (let i = 0; i < values.length; i++) values[i]! -= answered.output[i]!;
		},
	};
}
