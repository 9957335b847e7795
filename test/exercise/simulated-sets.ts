/**
 * Invented sets of repetitions whose truth is known, for checking the counter. Made from the seed alone.
 *
 * Rises are straight, raised cosines, of least jerk (T. Flash & N. Hogan, J. Neurosci. 5:1688, 1985) or exponential,
 * as no published shape of an impedance change in a contraction is at hand. All sizes are invented; frame rates, the
 * noise in relation to the change and the frequencies of tremor (4 to 12 Hz: physiological and pathological tremor,
 * G. Deuschl et al., Mov. Disord. 13 S3:2, 1998, from memory) cover what bands are expected to meet.
 */
import { createSeededRandom, type SeededRandom } from "../../core/exercise/seeded-random.ts";
import type { KnownRepetition, KnownSet } from "./known-set.ts";

export const setFamilies = [
	"plain",
	"holds",
	"slow",
	"partial",
	"double-peaked",
	"tremulous",
	"fatigue",
	"drift",
	"noisy",
	"everything",
] as const;

export type SetFamily = (typeof setFamilies)[number];
type EdgeShape = "straight" | "cosine" | "least-jerk" | "exponential";

interface Cycle {
	readonly onset: number;
	readonly rise: number;
	readonly plateau: number;
	readonly fall: number;
	readonly peak: number;
	readonly isPartial: boolean;
	readonly shape: EdgeShape;
	/** A valley within the plateau: share of the peak that is lost, 0 for none. */
	readonly dip: number;
	readonly tremor: number;
	readonly tremorHertz: number;
	readonly tremorPhase: number;
}

/** @throws RangeError for an unknown family */
export function simulateSet(family: SetFamily, seed: number): KnownSet {
	const kind = setFamilies.indexOf(family);
	if (kind < 0) throw new RangeError(`simulated set: there is no family '${String(family)}'`);
	const random = createSeededRandom(Math.imul(seed + 1, 0x9e3779b1) ^ (kind * 0x85ebca6b));
	const has = (name: SetFamily, share: number) =>
		family === name || (family === "everything" && random.chance(share));
	const framesPerSecond = random.pick([10, 12.5, 15, 20, 25, 30, 40, 50]);
	const reference = 10 ** random.between(-3, -1.5) * (random.chance(0.5) ? 1 : -1);
	const noiseShare = has("noisy", 0.3) ? random.between(0.03, 0.05) : random.between(0.004, 0.025);
	const driftShare = has("drift", 0.5) ? random.between(-0.004, 0.004) : random.between(-0.0008, 0.0008);
	const cycles = planCycles(random, {
		isHold: family === "holds" || random.chance(0.25),
		isSlow: has("slow", 0.4),
		partialShare: has("partial", 0.5) ? 0.4 : 0,
		dipShare: has("double-peaked", 0.4) ? 0.6 : 0,
		tremor: has("tremulous", 0.4) ? random.between(0.06, 0.2) : 0,
		tiring: has("fatigue", 0.4) ? random.between(0.02, 0.06) : 0,
		noiseShare,
	});
	const spikeShare = family === "noisy" || family === "everything" ? 0.002 : 0;
	const last = cycles.at(-1)!;
	const seconds = last.onset + last.rise + last.plateau + last.fall + 3;
	const most = Math.ceil(seconds * framesPerSecond);
	const times = new Float64Array(most);
	const values = new Float64Array(most);
	const level = reference * random.between(-1, 1);
	const noise = Math.abs(reference) * noiseShare;
	const lostShare = random.between(0, 0.02);
	const wavePeriod = random.between(20, 90);
	const wavePhase = random.between(0, 2 * Math.PI);
	let n = 0;
	for (let i = 0; i < most; i++) {
		if (random.chance(lostShare)) continue;
		const time = i / framesPerSecond;
		const work = cycles.reduce((sum, cycle) => sum + activationOf(cycle, time), 0);
		// a straight drift and a slow wave whose steepest slope is as large
		const wave = (wavePeriod / (2 * Math.PI)) * Math.sin((2 * Math.PI * time) / wavePeriod + wavePhase);
		const drift = reference * driftShare * (0.5 * time + 0.5 * wave);
		const spike = random.chance(spikeShare) ? reference * random.between(-0.6, 0.6) : 0;
		times[n] = 1000 + time;
		values[n] = level + reference * work + drift + spike + noise * random.normal();
		n++;
	}
	return {
		seed,
		kind: family,
		framesPerSecond,
		times: times.slice(0, n),
		values: values.slice(0, n),
		restUntil: 1000 + REST_SECONDS,
		countFrom: 1000 + REST_SECONDS,
		referenceChange: reference * random.between(0.9, 1.1),
		restDeviation: noise,
		repetitions: cycles.map((cycle) => truthOf(cycle, Math.abs(reference))),
	};
}

const REST_SECONDS = 5;

interface Recipe {
	readonly isHold: boolean;
	readonly isSlow: boolean;
	readonly partialShare: number;
	readonly dipShare: number;
	readonly tremor: number;
	/** Share of the peak lost from one repetition to the next. */
	readonly tiring: number;
	readonly noiseShare: number;
}

function planCycles(random: SeededRandom, recipe: Recipe): Cycle[] {
	const count = Math.floor(recipe.isHold ? random.between(3, 9) : random.between(4, 16));
	const strength = random.between(0.6, 1);
	const shape = random.pick(["straight", "cosine", "least-jerk", "exponential"] as const);
	const tremorHertz = random.between(4, 12);
	const edge = () => (recipe.isSlow ? random.between(1, 2.5) : random.between(0.25, 1));
	const cycles: Cycle[] = [];
	let onset = REST_SECONDS + random.between(0.5, 2);
	for (let i = 0; i < count; i++) {
		const isPartial = random.chance(recipe.partialShare);
		const full = Math.max(0.45, strength * (1 - recipe.tiring * i) * random.between(0.9, 1.1));
		// an attempt that the noise hides cannot be told from rest by anybody
		const partial = Math.max(random.between(0.13, 0.22), 5 * recipe.noiseShare) * strength;
		const hasDip = !isPartial && random.chance(recipe.dipShare);
		const rise = edge();
		const plateau = recipe.isHold
			? random.between(3, 10)
			: hasDip
				? random.between(0.8, 1.6)
				: random.between(0.2, 1);
		const fall = edge();
		cycles.push({
			onset,
			rise,
			plateau,
			fall,
			peak: isPartial ? partial : full,
			isPartial,
			shape,
			dip: hasDip ? random.between(0.25, 0.65) : 0,
			tremor: recipe.tremor,
			tremorHertz,
			tremorPhase: random.between(0, 2 * Math.PI),
		});
		onset += rise + plateau + fall + random.between(0.8, 4);
	}
	return cycles;
}

function activationOf(cycle: Cycle, time: number): number {
	const calm = envelopeOf(cycle, time);
	if (calm === 0 || cycle.tremor === 0) return calm;
	return calm * (1 + cycle.tremor * Math.sin(2 * Math.PI * cycle.tremorHertz * time + cycle.tremorPhase));
}

/** Without tremor, share of the reference. */
function envelopeOf(cycle: Cycle, time: number): number {
	const t = time - cycle.onset;
	const { rise, plateau, fall } = cycle;
	if (t <= 0 || t >= rise + plateau + fall) return 0;
	if (t < rise) return cycle.peak * edgeAt(cycle.shape, t / rise);
	if (t > rise + plateau) return cycle.peak * edgeAt(cycle.shape, (rise + plateau + fall - t) / fall);
	const valley = Math.sin((Math.PI * (t - rise)) / plateau) ** 2;
	return cycle.peak * (1 - cycle.dip * valley);
}

/** From 0 at s = 0 to 1 at s = 1. */
function edgeAt(shape: EdgeShape, s: number): number {
	switch (shape) {
		case "straight":
			return s;
		case "cosine":
			return (1 - Math.cos(Math.PI * s)) / 2;
		case "least-jerk":
			return s ** 3 * (10 - 15 * s + 6 * s * s);
		case "exponential":
			return (1 - Math.exp(-4 * s)) / (1 - Math.exp(-4));
	}
}

function truthOf(cycle: Cycle, reference: number): KnownRepetition {
	return {
		onset: 1000 + cycle.onset,
		offset: 1000 + cycle.onset + cycle.rise + cycle.plateau + cycle.fall,
		peak: cycle.peak,
		isPartial: cycle.isPartial,
		isBeginSeen: true,
		isEndSeen: true,
		changeAt: (time) => reference * activationOf(cycle, time - 1000),
		curve: cycle.shape,
	};
}
