/**
 * How good a link and its readings are, in one word with its reason. The thresholds are common practice without a
 * published source: reciprocity on skin at most 2 % good and 5 % usable; a signal 60 dB above its noise good and 40 dB
 * usable (at 40 dB a change of one percent is as large as the noise); one frame in a hundred lost is not seen, one in
 * ten is.
 */
export interface QualityFacts {
	/** Over the last seconds. */
	readonly framesPerSecond: number;
	/** Share of the frames that were lost or bad over the last seconds, 0 to 1. */
	readonly lostShare: number;
	/** Null before a baseline. */
	readonly signalToNoiseDecibel: number | null;
	/** Null where the pattern has no reciprocal pairs. */
	readonly reciprocityPercent: number | null;
	/** Those that are not left out. */
	readonly electrodesOff: number;
	readonly electrodesPoor: number;
	/** Share of the readings at the converter's limit, 0 to 1. */
	readonly saturatedShare: number;
	/** Numbers, from 1, of the electrodes that pictures are made without. */
	readonly electrodesLeftOut: readonly number[];
	/** What is left is enough for the regions' means to be believed. */
	readonly isTrustworthy: boolean;
	/** Of the board's clock against the computer's, parts per million; null before it is known. */
	readonly clockDriftPpm?: number | null;
}

export interface QualityVerdict {
	readonly overall: "good" | "fair" | "poor" | "unknown";
	/** A short phrase: the fact that decided. */
	readonly reason: string;
}

interface Finding {
	readonly level: 0 | 1 | 2;
	readonly reason: string;
}

export function judgeQuality(facts: QualityFacts): QualityVerdict {
	if (facts.framesPerSecond === 0) return { overall: "unknown", reason: "no frames arrive" };
	const findings = [
		leftOut(facts),
		contacts(facts),
		saturation(facts.saturatedShare),
		losses(facts.lostShare),
		reciprocity(facts.reciprocityPercent),
		signal(facts.signalToNoiseDecibel),
		rate(facts.framesPerSecond),
		clock(facts.clockDriftPpm ?? null),
	];
	let worst: Finding = { level: 0, reason: "" };
	for (const finding of findings) if (finding.level > worst.level) worst = finding;
	if (worst.level === 2) return { overall: "poor", reason: worst.reason };
	if (worst.level === 1) return { overall: "fair", reason: worst.reason };
	if (facts.signalToNoiseDecibel === null) return { overall: "unknown", reason: "no rest baseline yet" };
	return { overall: "good", reason: "all readings steady" };
}

const fine: Finding = { level: 0, reason: "" };

function leftOut({ electrodesLeftOut, isTrustworthy }: QualityFacts): Finding {
	const numbers = electrodesLeftOut.join(", ");
	const electrodes =
		electrodesLeftOut.length === 1
			? `electrode ${numbers} is left out`
			: `electrodes ${numbers} are left out`;
	if (!isTrustworthy) {
		const what = electrodesLeftOut.length === 0 ? "too many readings are left out" : electrodes;
		return { level: 2, reason: `check the band: ${what}` };
	}
	return electrodesLeftOut.length > 0 ? { level: 1, reason: electrodes } : fine;
}

function contacts(facts: QualityFacts): Finding {
	const { electrodesOff, electrodesPoor } = facts;
	if (electrodesOff > 0) return { level: 2, reason: `${count(electrodesOff, "electrode")} off the skin` };
	if (electrodesPoor > 0)
		return { level: 1, reason: `poor contact at ${count(electrodesPoor, "electrode")}` };
	return fine;
}

function saturation(share: number): Finding {
	if (share > 0.02)
		return { level: 2, reason: `${percent(share)} of the readings are at the converter's limit` };
	return share > 0 ? { level: 1, reason: "some readings are at the converter's limit" } : fine;
}

function losses(share: number): Finding {
	if (share > 0.1) return { level: 2, reason: `${percent(share)} of the frames are lost` };
	return share > 0.02 ? { level: 1, reason: `${percent(share)} of the frames are lost` } : fine;
}

function reciprocity(value: number | null): Finding {
	if (value === null || value <= 2) return fine;
	return { level: value > 5 ? 2 : 1, reason: `reciprocity error ${value.toFixed(1)} %` };
}

function signal(decibel: number | null): Finding {
	if (decibel === null || decibel >= 60) return fine;
	return { level: decibel < 40 ? 2 : 1, reason: `signal only ${decibel.toFixed(0)} dB above its noise` };
}

/** Voluntary contractions need at least 10 frames a second (common practice, no source). */
function rate(framesPerSecond: number): Finding {
	return framesPerSecond < 10
		? { level: 1, reason: `only ${framesPerSecond.toFixed(1)} frames a second` }
		: fine;
}

/** Times of holds are the board's: from half a percent on they are as wrong as a person's counting (our own bound). */
function clock(partsPerMillion: number | null): Finding {
	if (partsPerMillion === null || Math.abs(partsPerMillion) <= 5000) return fine;
	const side = partsPerMillion > 0 ? "fast" : "slow";
	return {
		level: 1,
		reason: `the board’s clock is ${(Math.abs(partsPerMillion) / 10_000).toFixed(1)} % ${side}`,
	};
}

function count(n: number, noun: string): string {
	return n === 1 ? `1 ${noun}` : `${n} ${noun}s`;
}

function percent(share: number): string {
	return `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;
}

/** 20·log10(|median| / deviation), median over those of `readings` (their numbers) that are kept: `median` and `noise`
 *  [nReadings] in one unit; `kept` [nReadings] 0 for readings that are left out, null where none is.
 *  @returns null where none is kept */
export function signalToNoiseDecibel(
	median: Float64Array,
	noise: Float64Array,
	readings: Uint32Array,
	kept: Float64Array | null = null,
): number | null {
	const decibel = Float64Array.from(
		readings.filter((r) => kept === null || kept[r]! > 0),
		(r) => 20 * Math.log10(Math.abs(median[r]!) / noise[r]!),
	).sort();
	return decibel[decibel.length >> 1] ?? null;
}

/** Share of `values` at or above 98 % of full scale (common practice); 0 where full scale is unknown. */
export function saturatedShare(values: Float64Array, fullScale: number): number {
	if (fullScale <= 0 || values.length === 0) return 0;
	const limit = 0.98 * fullScale;
	let saturated = 0;
	for (let i = 0; i < values.length; i++) if (Math.abs(values[i]!) >= limit) saturated++;
	return saturated / values.length;
}
