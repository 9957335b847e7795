import type { ReadingPattern } from "../band/band.ts";
import { ownReadings } from "../band/board-electrode.ts";
import { findReciprocalPairs } from "../band/reciprocity.ts";
import { explainedShare } from "./data-space.ts";
import { foldInto } from "./fold.ts";
import type { FrameModel } from "./picture-kernel.ts";
import { createRestReadings, differenceInto, setRestReadings } from "./reading-difference.ts";
import { keepWithout, type ReadingTrust, trustReadings } from "./reading-trust.ts";

/**
 * Which electrodes' readings do not follow from what all the others show (Asfaw & Adler, Physiol. Meas. 26:S175, 2005:
 * leave an electrode out, predict its readings from a picture of the rest, compare). A change of conductivity, wherever
 * it is, is consistent over all electrodes; a fault is not. One electrode at a time is found. For patterns that
 * `isJudgedByMisfit`; the model must have been made with the noise of the readings.
 */
export interface ElectrodeMisfit {
	/** @param readings [nReadings] at rest, in the model's unit */
	setBaseline(readings: Float64Array): void;
	/** [electrodeCount] 1 where an electrode stands out; overwritten by each call. Allocates nothing.
	 *  @param readings [nReadings] in the model's unit, none missing */
	judge(readings: Float64Array): Uint8Array;
	/** [electrodeCount] of the last frame: what of its misfit goes away without each electrode, 0 to 1. */
	readonly shares: Float64Array;
}

export type MisfitModel = Pick<FrameModel, "fold" | "dataSpace" | "readingCount" | "ohmMetrePerUnit">;

/** From this share of readings with a reciprocal partner on those tell more, and of several electrodes at once. */
const FEW_PAIRED = 0.25;

/** Whether the pattern leaves it to the misfit to tell of electrodes: few of its readings have a reciprocal partner, and none
 *  is taken where current flows through the skin, for there contacts change that are good, and no picture explains that. */
export function isJudgedByMisfit(pattern: ReadingPattern): boolean {
	const own = ownReadings(pattern);
	const isFourTerminal = own.every((r) => {
		const [source, sink, plus, minus] = pattern.terminals.subarray(4 * r, 4 * r + 4);
		return source !== plus && source !== minus && sink !== plus && sink !== minus;
	});
	return isFourTerminal && own.length > 0 && 2 * findReciprocalPairs(pattern).count < FEW_PAIRED * own.length;
}

/** A fault explains nearly all of what does not fit; a contraction's misfit is spread over the ring. */
const STANDS_OUT = 0.85;
/** Root mean square of the misfit of an electrode's readings in deviations of their noise, at least. */
const LEAST_DEVIATIONS = 6;

/**
 * With y the readings in units of their noise and H the part of them that the picture explains, the misfit is
 * yᵀ·(1 − H)·y; without the readings D it falls by qᵀ·(1 − H_DD)⁻¹·q, where q are the residuals of D.
 */
export function createElectrodeMisfit(model: MisfitModel, pattern: ReadingPattern): ElectrodeMisfit {
	const { fold, readingCount, ohmMetrePerUnit } = model;
	const { electrodeCount } = pattern;
	const withouts = Array.from({ length: electrodeCount }, (_, e) =>
		trustReadings(model, keepWithout(pattern, [e])),
	);
	const explained = withouts.reduce((most, without) => Math.max(most, without?.explained ?? 0), 0);
	const explainedShares = Float64Array.from({ length: explained }, (_, j) =>
		explainedShare(model.dataSpace, model.dataSpace.eigenvalues.length - explained + j),
	);
	const componentsOf = createComponents(model, explainedShares);
	const isGrouped = fold.mix.kind === "reciprocal";
	const rest = createRestReadings(new Float64Array(readingCount));
	const change = new Float64Array(readingCount);
	const whitened = new Float64Array(fold.count);
	/** Readings, or folded ones, in units of their noise. */
	const scaled = isGrouped ? whitened : new Float64Array(readingCount);
	const solved = new Float64Array(scaled.length);
	const shares = new Float64Array(electrodeCount);
	const standing = new Uint8Array(electrodeCount);

	/** By how much the misfit falls without an electrode. */
	function fallWithout(
		{ count, lost, lostComponents, factor }: ReadingTrust,
		components: Float64Array,
	): number {
		let fall = 0;
		for (let a = 0; a < count; a++) {
			let sum = scaled[lost[a]!]!;
			for (let j = 0; j < explained; j++) sum -= lostComponents[a * explained + j]! * components[j]!;
			for (let b = 0; b < a; b++) sum -= factor[a * count + b]! * solved[b]!;
			solved[a] = sum / factor[a * count + a]!;
			fall += solved[a]! ** 2;
		}
		return fall;
	}

	return {
		shares,
		setBaseline(readings) {
			setRestReadings(rest, readings);
		},
		judge(readings) {
			differenceInto(rest, readings, change);
			for (let r = 0; r < readingCount; r++) change[r]! *= ohmMetrePerUnit[r]!;
			foldInto(fold, change, whitened);
			if (!isGrouped) for (let r = 0; r < readingCount; r++) scaled[r] = change[r]! / fold.deviation[r]!;
			const components = componentsOf(whitened);
			let misfit = 0;
			for (let i = 0; i < scaled.length; i++) misfit += scaled[i]! ** 2;
			for (let j = 0; j < explained; j++) misfit -= components[j]! ** 2 / explainedShares[j]!;
			standing.fill(0);
			let worst = 0;
			for (let e = 0; e < electrodeCount; e++) {
				const without = withouts[e]!;
				shares[e] = without === null || misfit <= 0 ? 0 : fallWithout(without, components) / misfit;
				if (shares[e]! > shares[worst]!) worst = e;
			}
			const count = withouts[worst]?.count ?? 1;
			const deviations = Math.sqrt((shares[worst]! * Math.max(0, misfit)) / count);
			if (shares[worst]! > STANDS_OUT && deviations > LEAST_DEVIATIONS) standing[worst] = 1;
			return standing;
		},
	};
}

/** From folded readings to what the picture explains of their components along the last `explained` eigenvectors;
 *  overwritten by the next call. */
function createComponents({ dataSpace }: MisfitModel, explainedShares: Float64Array) {
	const { shares, vectors } = dataSpace;
	const n = dataSpace.eigenvalues.length;
	const explained = explainedShares.length;
	const first = n - explained;
	const values = new Float64Array(n);
	const components = new Float64Array(explained);
	return (whitened: Float64Array): Float64Array => {
		if (shares === null) values.set(whitened);
		else {
			values.fill(0);
			for (let i = 0; i < whitened.length; i++) {
				for (let k = 0; k < n; k++) values[k]! += whitened[i]! * shares[i * n + k]!;
			}
		}
		for (let j = 0; j < explained; j++) {
			let sum = 0;
			if (vectors === null) sum = values[first + j]!;
			else for (let k = 0; k < n; k++) sum += vectors[(first + j) * n + k]! * values[k]!;
			components[j] = explainedShares[j]! * sum;
		}
		return components;
	};
}
