import type { ReadingPattern } from "./band.ts";
import { isOwnReading } from "./board-electrode.ts";

/**
 * Readings that must agree because driving and reading may be swapped (the transfer impedance from pair A to pair
 * B equals that from B to A; Geselowitz, IEEE Trans Biomed Eng 18:38, 1971).
 */
export interface ReciprocalPairs {
	readonly count: number;
	/** [count] reading number of one of the two, the smaller. */
	readonly first: Uint32Array;
	/** [count] reading number of the other: value[second] = sign × value[first] in a perfect measurement. */
	readonly second: Uint32Array;
	/** [count] 1 or −1. */
	readonly sign: Int8Array;
}

/**
 * Finds every reading's reciprocal partner, if the pattern has one. Each reading is in at most one pair; a
 * reading that drives and reads the same pair is its own reciprocal and in none. Currents of the two must be
 * equal for the values to agree. Readings over electrodes of other bands are in none: their partners come in frames of
 * another time.
 */
export function findReciprocalPairs(pattern: ReadingPattern): ReciprocalPairs {
	const { terminals } = pattern;
	const n = terminals.length / 4;
	const waiting = new Map<number, number[]>();
	const first: number[] = [];
	const second: number[] = [];
	const sign: number[] = [];
	for (let r = 0; r < n; r++) {
		if (!isOwnReading(pattern, r)) continue;
		const drive = pairKey(terminals[4 * r]!, terminals[4 * r + 1]!, pattern.electrodeCount);
		const read = pairKey(terminals[4 * r + 2]!, terminals[4 * r + 3]!, pattern.electrodeCount);
		if (drive === read) continue;
		const pairs = pattern.electrodeCount * pattern.electrodeCount;
		const partner = waiting.get(read * pairs + drive)?.shift();
		if (partner !== undefined) {
			first.push(partner);
			second.push(r);
			sign.push(orientation(terminals, partner) * orientation(terminals, r));
			continue;
		}
		const key = drive * pairs + read;
		const queue = waiting.get(key);
		if (queue) queue.push(r);
		else waiting.set(key, [r]);
	}
	return {
		count: first.length,
		first: Uint32Array.from(first),
		second: Uint32Array.from(second),
		sign: Int8Array.from(sign),
	};
}

function pairKey(a: number, b: number, electrodeCount: number): number {
	return Math.min(a, b) * electrodeCount + Math.max(a, b);
}

function orientation(terminals: Uint16Array, reading: number): 1 | -1 {
	const driveForward = terminals[4 * reading]! < terminals[4 * reading + 1]!;
	const readForward = terminals[4 * reading + 2]! < terminals[4 * reading + 3]!;
	return driveForward === readForward ? 1 : -1;
}
