/**
 * A second kind of simulated sets, made without the counter or the first kind in mind: repetitions follow curves by
 * which force and movement are described elsewhere, noise is coloured, and breath, pulse, creep and lost frames come as
 * a body and a radio link bring them. All sizes are invented.
 */
import { createSeededRandom, type SeededRandom } from "../../core/exercise/seeded-random.ts";
import type { KnownRepetition, KnownSet } from "./known-set.ts";

export const curveKinds = [
	"plain",
	"slow",
	"partial",
	"double-peaked",
	"tremulous",
	"drifting",
	"noisy",
	"breath and pulse",
	"short holds",
	"30 s holds",
	"begins contracted",
	"lost frames",
	"combined",
] as const;
export type CurveKind = (typeof curveKinds)[number];

export const frameRates = [10, 20, 30, 50] as const;

/**
 * trapezoid and raised cosine: tracking tasks (common practice, no source). first-order: activation with a time constant
 * (F. E. Zajac, Crit. Rev. Biomed. Eng. 17:359, 1989). second-order: the critically damped response by which a twitch is
 * described (H. S. Milner-Brown, R. B. Stein & R. Yemm, J. Physiol. 230:359, 1973). overshoot: the same, damped less, as
 * when a person aims at a target (common practice). bell: a movement out and back without a hold. All from memory.
 */
const curveNames = [
	"trapezoid",
	"raised cosine",
	"first-order",
	"second-order",
	"overshoot",
	"bell",
] as const;
export type CurveName = (typeof curveNames)[number];

interface Push {
	readonly onset: number;
	readonly curve: CurveName;
	readonly rise: number;
	readonly hold: number;
	readonly fall: number;
	readonly peak: number;
	readonly isPartial: boolean;
	/** Share of the change that creeps away in a long hold. */
	readonly creep: number;
	/** Share of the change that is lost between two peaks. */
	readonly dip: number;
	readonly tremor: number;
	readonly tremorHertz: number;
}

/** Share of the way up after t of a rise that takes about `rise` seconds, from 0 before to about 1. */
function wayUp(curve: CurveName, t: number, rise: number): number {
	if (t <= 0) return 0;
	const s = Math.min(1, t / rise);
	switch (curve) {
		case "trapezoid":
			return s;
		case "raised cosine":
		case "bell":
			return (1 - Math.cos(Math.PI * s)) / 2;
		case "first-order":
			return 1 - Math.exp((-3 * t) / rise);
		case "second-order": {
			const x = (4.7 * t) / rise;
			return 1 - (1 + x) * Math.exp(-x);
		}
		case "overshoot": {
			// damping 0.55: 13 % too far
			const x = (3.8 * t) / rise;
			const fast = Math.sqrt(1 - 0.55 ** 2);
			return 1 - Math.exp(-0.55 * x) * (Math.cos(fast * x) + (0.55 / fast) * Math.sin(fast * x));
		}
	}
}

function isUnending(curve: CurveName): boolean {
	return curve === "first-order" || curve === "second-order" || curve === "overshoot";
}

function changeOf(push: Push, time: number): number {
	const { onset, curve, rise, hold, fall, peak } = push;
	const t = time - onset;
	const release = rise + hold;
	if (t <= 0 || t > release + 4 * fall) return 0;
	// nothing lets go as springily as it may arrive
	const down = 1 - wayUp(curve === "overshoot" ? "second-order" : curve, t - release, fall);
	const crept = 1 - push.creep * (1 - Math.exp(-Math.max(0, t - rise) / 10));
	const inHold = hold > 0 ? (t - rise) / hold : -1;
	const dipped = inHold > 0 && inHold < 1 ? 1 - push.dip * Math.sin(Math.PI * inHold) ** 2 : 1;
	const trembled = 1 + push.tremor * Math.sin(2 * Math.PI * push.tremorHertz * time);
	return peak * wayUp(curve, t, rise) * down * crept * dipped * trembled;
}

/** @param framesPerSecond chosen by the seed where not given */
export function simulateCurves(kind: CurveKind, seed: number): KnownSet {
	const random = createSeededRandom(Math.imul(seed, 0x2545f491) ^ (curveKinds.indexOf(kind) * 0x9e3779b1));
	for (let i = 0; i < 4; i++) random.next();
	const has = (name: CurveKind, share: number) =>
		kind === name || (kind === "combined" && random.chance(share));
	const framesPerSecond = frameRates[seed % frameRates.length]!;
	const reference = random.between(0.002, 0.03) * (random.chance(0.5) ? 1 : -1);
	const noise = has("noisy", 0.3) ? random.between(0.03, 0.05) : random.between(0.003, 0.025);
	const breath = has("breath and pulse", 0.4) ? random.between(0.01, 0.03) : 0;
	const pulse = breath / random.between(1.5, 4);
	const losesFrames = has("lost frames", 0.3);
	const pushes = planPushes(random, {
		isSlow: has("slow", 0.4),
		isPartial: has("partial", 0.4),
		hasDip: has("double-peaked", 0.4),
		trembles: has("tremulous", 0.4),
		isShort: kind === "short holds",
		isLong: kind === "30 s holds",
		isHeld: kind === "begins contracted" || losesFrames,
		least: 5 * Math.hypot(noise, breath, pulse),
	});
	const drift = has("drifting", 0.4) ? random.between(0.001, 0.004) * (random.chance(0.5) ? 1 : -1) : 0;
	const last = pushes.at(-1)!;
	const end = last.onset + last.rise + last.hold + last.fall + 4;
	const countFrom = kind === "begins contracted" ? pushes[0]!.onset + pushes[0]!.rise + 0.2 : REST_SECONDS;
	const gaps = losesFrames ? planGaps(random, countFrom, end) : [];
	const signal = sampler(random, { reference, noise, breath, pulse, drift, pushes });
	const times: number[] = [];
	const values: number[] = [];
	const start = random.between(0, 1e4);
	for (let i = 0; i < end * framesPerSecond; i++) {
		// a board's clock stamps the middle of a frame to within a few per cent of its length
		const time = (i + random.between(-0.03, 0.03)) / framesPerSecond;
		const value = signal(time);
		if (losesFrames && random.chance(0.03)) continue;
		if (gaps.some(([from, to]) => time > from && time < to)) continue;
		times.push(start + time);
		values.push(Math.fround(value));
	}
	return {
		seed,
		kind,
		framesPerSecond,
		times: Float64Array.from(times),
		values: Float64Array.from(values),
		restUntil: start + REST_SECONDS,
		countFrom: start + countFrom,
		referenceChange: reference * random.between(0.9, 1.1),
		restDeviation: Math.abs(reference) * Math.sqrt(noise ** 2 + (breath ** 2 + pulse ** 2) / 2),
		repetitions: pushes.map((push) => truthOf(push, start, Math.abs(reference), countFrom, gaps)),
	};
}

const REST_SECONDS = 5;

interface Recipe {
	readonly isSlow: boolean;
	readonly isPartial: boolean;
	readonly hasDip: boolean;
	readonly trembles: boolean;
	readonly isShort: boolean;
	readonly isLong: boolean;
	/** Every repetition has a hold. */
	readonly isHeld: boolean;
	/** An attempt below this is hidden by the noise, so that nobody could count it. */
	readonly least: number;
}

function planPushes(random: SeededRandom, recipe: Recipe): Push[] {
	const { isSlow, isShort, isLong, hasDip } = recipe;
	const curve = random.pick(
		curveNames.filter((name) => name !== "bell" || !(hasDip || isLong || recipe.isHeld)),
	);
	const count = isLong ? random.pick([2, 3, 4]) : random.pick([5, 6, 8, 10, 12, 15]);
	const edge = () =>
		isSlow
			? random.between(1, 3)
			: isShort
				? random.between(curve === "bell" ? 0.35 : 0.2, curve === "bell" ? 0.45 : 0.35)
				: random.between(0.3, 1);
	const holds = (): number => {
		if (curve === "bell") return 0;
		if (isLong) return random.between(25, 32);
		if (isShort) return random.between(0.1, 0.3);
		return hasDip || recipe.isHeld ? random.between(1.2, 2) : random.between(0.3, 3);
	};
	// a quarter of a second of a very short hold, which is what a peak is, holds much of its edges
	const leastPeak = isShort ? 0.6 : 0.45;
	const strength = random.between(0.55, 1);
	const tremor = recipe.trembles ? random.between(0.05, 0.18) : 0;
	const tremorHertz = random.between(4, 10);
	const mayBePartial = recipe.isPartial && recipe.least < 0.2 * strength;
	const pushes: Push[] = [];
	let onset = REST_SECONDS + random.between(0.3, 2);
	for (let i = 0; i < count; i++) {
		const isPartial = mayBePartial && random.chance(0.4);
		const rise = edge();
		const hold = holds();
		// what decays without end takes three time constants longer
		const fall = isUnending(curve) ? 0.7 * edge() : edge();
		const peak = isPartial
			? Math.max(random.between(0.14, 0.22) * strength, recipe.least)
			: Math.max(leastPeak, strength * random.between(0.88, 1.12));
		const dip = hasDip && !isPartial && random.chance(0.7) ? random.between(0.2, 0.6) : 0;
		const creep = isLong ? random.between(0, 0.35) : 0;
		pushes.push({ onset, curve, rise, hold, fall, peak, isPartial, creep, dip, tremor, tremorHertz });
		onset += rise + hold + fall + random.between(1.2, 4) + (isUnending(curve) ? 0.5 * fall : 0);
	}
	return pushes;
}

type Span = readonly [from: number, to: number];

function planGaps(random: SeededRandom, from: number, to: number): Span[] {
	return Array.from({ length: 4 }, () => {
		const start = random.between(from, to);
		return [start, start + random.between(0.3, 0.8)] as const;
	});
}

interface Signal {
	readonly reference: number;
	readonly noise: number;
	readonly breath: number;
	readonly pulse: number;
	readonly drift: number;
	readonly pushes: readonly Push[];
}

/** To be asked for rising times. */
function sampler(random: SeededRandom, signal: Signal): (time: number) => number {
	const { reference, noise, breath, pulse, drift, pushes } = signal;
	const level = reference * random.between(-2, 2);
	// half of the sets have noise that a front end's filter has coloured
	const memory = random.chance(0.5) ? random.between(0.2, 0.5) : 0;
	const breathHertz = random.between(0.2, 0.35);
	const pulseHertz = random.between(0.9, 1.7);
	const breathPhase = random.between(0, 6);
	let coloured = random.normal();
	return (time) => {
		coloured = memory * coloured + Math.sqrt(1 - memory ** 2) * random.normal();
		const beat = (2 * Math.PI * (pulseHertz * time + 0.03 * Math.sin(1.3 * time))) % (2 * Math.PI);
		const work = pushes.reduce((sum, push) => sum + changeOf(push, time), 0);
		return (
			level +
			reference *
				(work +
					noise * coloured +
					drift * time +
					breath * Math.sin(2 * Math.PI * breathHertz * time + breathPhase) +
					pulse * Math.sin(beat))
		);
	};
}

function truthOf(
	push: Push,
	start: number,
	reference: number,
	countFrom: number,
	gaps: readonly Span[],
): KnownRepetition {
	const { onset, rise, hold, fall, peak, isPartial, curve } = push;
	const isMissed = (time: number) => gaps.some(([from, to]) => time > from - 0.1 && time < to + 0.1);
	const finish = onset + rise + hold + fall * (isUnending(curve) ? 4 : 1);
	return {
		onset: start + onset,
		offset: start + finish,
		peak,
		isPartial,
		isBeginSeen: onset > countFrom && !isMissed(onset),
		isEndSeen: !isMissed(finish),
		changeAt: (time) => reference * changeOf(push, time - start),
		curve,
	};
}
