import { foldIndependent } from "./fold-independent.ts";
import type { FoldedReadings } from "./folded-readings.ts";

/** More groups than this multiple of L(L − 1)/2 are worth the dense step of `independent`. */
const INDEPENDENT_FROM = 1.25;

/**
 * @param terminals [nReadings × 4] source, sink, plus, minus
 * @param deviation [nReadings] noise of each reading as it will be given to `foldInto`; Infinity leaves a reading
 * out
 * @throws RangeError when no reading is left
 */
export function foldReadings(
	terminals: Uint16Array,
	electrodeCount: number,
	deviation: Float64Array,
): FoldedReadings {
	const readingCount = terminals.length / 4;
	if (deviation.length !== readingCount) {
		throw new RangeError(`fold: ${deviation.length} deviations for ${readingCount} readings`);
	}
	for (let r = 0; r < readingCount; r++) {
		if (!(deviation[r]! > 0)) throw new RangeError(`fold: deviation ${r} is ${deviation[r]}, not above zero`);
	}
	const groups = groupReadings(terminals, electrodeCount, deviation);
	if (groups.members.length === 0) throw new RangeError("fold: no reading is left to make a picture from");
	const independentCount = (electrodeCount * (electrodeCount - 1)) / 2;
	return groups.members.length > INDEPENDENT_FROM * independentCount
		? foldIndependent(terminals, electrodeCount, deviation)
		: foldReciprocal(terminals, groups, deviation);
}

/** whitened[count] = the folded, whitened values of readings[nReadings]. Allocates nothing. */
export function foldInto(fold: FoldedReadings, readings: Float64Array, whitened: Float64Array): void {
	const { rowStart, reading, weight, count, mix } = fold;
	for (let i = 0; i < count; i++) {
		let sum = 0;
		for (let e = rowStart[i]!; e < rowStart[i + 1]!; e++) sum += weight[e]! * readings[reading[e]!]!;
		whitened[i] = sum;
	}
	if (mix.kind === "reciprocal") return;
	const { factor } = mix;
	let first = 0;
	while (first < count && whitened[first] === 0) first++;
	for (let i = first; i < count; i++) {
		let sum = whitened[i]!;
		for (let k = first; k < i; k++) sum -= factor[i * count + k]! * whitened[k]!;
		whitened[i] = sum / factor[i * count + i]!;
	}
}

/** fitted[nReadings] = the readings of the reciprocal medium that fits readings best, from what those fold to
 *  (`foldInto`); readings that are left out become 0. */
export function fittedInto(
	{ rowStart, reading, weight, deviation, count, mix }: FoldedReadings,
	whitened: Float64Array,
	fitted: Float64Array,
): void {
	fitted.fill(0);
	for (let i = 0; i < count; i++) {
		let value = whitened[i]!;
		if (mix.kind === "independent") {
			value = 0;
			for (let j = i; j < count; j++) value += mix.inverse[i * count + j]! * whitened[j]!;
		}
		for (let e = rowStart[i]!; e < rowStart[i + 1]!; e++) fitted[reading[e]!]! += weight[e]! * value;
	}
	for (let r = 0; r < fitted.length; r++) if (deviation[r] !== Infinity) fitted[r]! *= deviation[r]! ** 2;
}

interface Groups {
	/** Reading numbers of each group, those left out apart. */
	readonly members: readonly (readonly number[])[];
	/** [nReadings] 1 or −1 against the first of its group. */
	readonly sign: Int8Array;
}

/** Readings of one transfer resistance, up to sign. */
export function groupReadings(
	terminals: Uint16Array,
	electrodeCount: number,
	deviation: Float64Array,
): Groups {
	const byKey = new Map<number, number[]>();
	const sign = new Int8Array(deviation.length);
	const pairCount = electrodeCount * electrodeCount;
	for (let r = 0; r < deviation.length; r++) {
		if (deviation[r] === Infinity) continue;
		const [source, sink, plus, minus] = terminals.subarray(4 * r, 4 * r + 4) as unknown as [
			number,
			number,
			number,
			number,
		];
		const drive = Math.min(source, sink) * electrodeCount + Math.max(source, sink);
		const read = Math.min(plus, minus) * electrodeCount + Math.max(plus, minus);
		sign[r] = source < sink === plus < minus ? 1 : -1;
		const key = Math.min(drive, read) * pairCount + Math.max(drive, read);
		const group = byKey.get(key);
		if (group === undefined) byKey.set(key, [r]);
		else group.push(r);
	}
	const members = [...byKey.values()];
	for (const group of members) {
		const first = sign[group[0]!]!;
		for (const r of group) sign[r] = (sign[r]! * first) as 1 | -1;
	}
	return { members, sign };
}

function foldReciprocal(terminals: Uint16Array, groups: Groups, deviation: Float64Array): FoldedReadings {
	const { members, sign } = groups;
	const count = members.length;
	const probes = new Uint16Array(4 * count);
	const scale = new Float64Array(count);
	const rowStart = new Uint32Array(count + 1);
	const reading: number[] = [];
	const weight: number[] = [];
	for (const [i, group] of members.entries()) {
		probes.set(terminals.subarray(4 * group[0]!, 4 * group[0]! + 4), 4 * i);
		let precision = 0;
		for (const r of group) precision += 1 / deviation[r]! ** 2;
		scale[i] = Math.sqrt(precision);
		for (const r of group) {
			reading.push(r);
			weight.push(sign[r]! / (deviation[r]! ** 2 * scale[i]!));
		}
		rowStart[i + 1] = reading.length;
	}
	return {
		readingCount: deviation.length,
		deviation,
		count,
		probes,
		mix: { kind: "reciprocal", scale },
		rowStart,
		reading: Uint32Array.from(reading),
		weight: Float64Array.from(weight),
	};
}
