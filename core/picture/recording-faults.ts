import type { Setup } from "../physics/case.ts";
import { fittedInto, foldInto, foldReadings } from "./fold.ts";
import type { FoldedReadings } from "./folded-readings.ts";

/** Electrodes fail where without them no more than this share is left of what the readings are off by from any reciprocal
 *  medium. The best choice of four electrodes of a measured tank leaves 0.21 to 0.85 of it where all are good, and 0.003 to
 *  0.1 where one or two give anything. */
const EXPLAINS = 0.15;
/** Of a frame's change: readings that are off by less, as all are by how bodies are modelled, do no harm. */
const LEAST_OFF = 0.1;
/** One more counts as failing where without it no more than this share is left again. */
const EXPLAINS_MORE = 0.25;
/** More cannot be told from a frame that is bad as a whole. */
const MOST_ELECTRODES = 0.25;
/** A share of an electrode's readings, and a number that no symmetry of a tank explains. */
const STUCK = 0.9;
const FEWEST_STUCK = 8;

/** An electrode that fails in a frame. */
export interface FailingElectrode {
	/** From 0. */
	readonly electrode: number;
	/**
	 * - `reciprocity`: its readings do not agree with any reciprocal medium: reciprocal readings differ, or those that
	 *   superposition ties together (as Hartinger, Guardo, Adler & Gagnon, IEEE Trans. Biomed. Eng. 56:369, 2009, for pairs);
	 * - `readings`: nearly all of them have the same magnitude to the last digit, as from a channel that is dead or at its
	 *   limit, or none is there.
	 */
	readonly sign: "reciprocity" | "readings";
}

/** Judges frames of one set-up. @returns electrodes that fail in a frame, ascending, for its readings and those of its rest,
 *  [nReadings] V each, NaN where missing */
export function createFaultFinder({
	pattern,
	current,
}: Pick<Setup, "pattern" | "current">): (rest: Float64Array, voltages: Float64Array) => FailingElectrode[] {
	const { terminals, electrodeCount } = pattern;
	const most = Math.floor(MOST_ELECTRODES * electrodeCount);
	const misfitOf = createMisfits(pattern);
	return (rest, voltages) => {
		// not straightened, which bounds what is of the opposite sign, and so hides it
		const ohm = voltages.map((value, r) => (value - rest[r]!) / current[r]!);
		const speechless = [
			...silentElectrodes(terminals, ohm),
			...stuckElectrodes(terminals, electrodeCount, voltages),
		];
		if (speechless.length > most) return [];
		const inconsistent = inconsistentElectrodes(misfitOf, ohm, speechless, most);
		const sign = (electrode: number) => (speechless.includes(electrode) ? "readings" : "reciprocity");
		return withoutDoubted(terminals, [...speechless, ...inconsistent])
			.sort((a, b) => a - b)
			.map((electrode) => ({ electrode, sign: sign(electrode) }));
	};
}

/** Found greedily, the worst first; what turns out not to be needed is taken back. */
function inconsistentElectrodes(
	misfitOf: Misfits,
	ohm: Float64Array,
	stuck: readonly number[],
	most: number,
): number[] {
	const whole = misfitOf(ohm, stuck);
	if (whole === null || whole.off <= LEAST_OFF * whole.change) return [];
	let found: number[] = [];
	let leftByFound = whole.off;
	let left: Misfit | null = whole;
	for (const next: number[] = []; left !== null && stuck.length + next.length < most; ) {
		next.push(left.worst);
		const before: number = left.off;
		left = misfitOf(ohm, [...stuck, ...next]);
		if (left === null || left.off > EXPLAINS * whole.off) continue;
		if (found.length > 0 && left.off > EXPLAINS_MORE * before) break;
		found = [...next];
		leftByFound = left.off;
	}
	for (const one of found) {
		const others = found.filter((other) => other !== one);
		const without = misfitOf(ohm, [...stuck, ...others]);
		if (without !== null && EXPLAINS_MORE * without.off <= leftByFound) found = others;
	}
	return found;
}

interface Misfit {
	/** Root mean square, for each degree of freedom, of what readings are off by. */
	readonly off: number;
	/** Root mean square of the readings. */
	readonly change: number;
	/** The electrode whose readings are off most. */
	readonly worst: number;
}

/** From the reciprocal medium that fits best, without some electrodes; null where any readings fit one. */
type Misfits = (ohm: Float64Array, without: readonly number[]) => Misfit | null;

/** Most frames of a file lack the same readings: what fits them best is worked out once. */
const KEPT_FOLDS = 32;

function createMisfits({ terminals, electrodeCount }: Setup["pattern"]): Misfits {
	const folds = new Map<string, { readonly used: readonly number[]; readonly fold: FoldedReadings }>();

	function foldOf(ohm: Float64Array, without: readonly number[]) {
		const used = Array.from(ohm.keys()).filter(
			(r) => !(Number.isNaN(ohm[r]!) || touches(terminals, r, without)),
		);
		const key = used.join();
		const known = folds.get(key);
		if (known !== undefined) return known;
		const deviation = new Float64Array(ohm.length).fill(Infinity);
		for (const r of used) deviation[r] = 1;
		const made = { used, fold: foldReadings(terminals, electrodeCount, deviation) };
		if (folds.size >= KEPT_FOLDS) folds.clear();
		folds.set(key, made);
		return made;
	}

	return (ohm, without) => {
		const { used, fold } = foldOf(ohm, without);
		const freedom = used.length - fold.count;
		if (freedom === 0) return null;
		const folded = new Float64Array(fold.count);
		const fitted = new Float64Array(ohm.length);
		const present = new Float64Array(ohm.length);
		for (const r of used) present[r] = ohm[r]!;
		foldInto(fold, present, folded);
		fittedInto(fold, folded, fitted);
		let off = 0;
		let change = 0;
		const own = new Float64Array(electrodeCount);
		const counts = new Float64Array(electrodeCount);
		for (const r of used) {
			const square = (ohm[r]! - fitted[r]!) ** 2;
			off += square;
			change += ohm[r]! ** 2;
			for (let t = 4 * r; t < 4 * r + 4; t++) {
				own[terminals[t]!]! += square;
				counts[terminals[t]!]!++;
			}
		}
		const means = own.map((sum, e) => sum / Math.max(1, counts[e]!));
		return {
			off: Math.sqrt(off / freedom),
			change: Math.sqrt(change / used.length),
			worst: means.indexOf(Math.max(...means)),
		};
	};
}

/** Electrodes none of whose readings is there. */
function silentElectrodes(terminals: Uint16Array, ohm: Float64Array): number[] {
	const silent = new Set(terminals);
	for (let i = 0; i < terminals.length; i++) if (!Number.isNaN(ohm[i >> 2]!)) silent.delete(terminals[i]!);
	return Array.from(silent);
}

/** Electrodes with all but a few readings of one magnitude, those with most of them first. */
function stuckElectrodes(terminals: Uint16Array, electrodeCount: number, voltages: Float64Array): number[] {
	const stuck: number[] = [];
	for (;;) {
		let worst = -1;
		let most = 0;
		for (let e = 0; e < electrodeCount; e++) {
			const counts = new Map<number, number>();
			let present = 0;
			for (const [r, value] of voltages.entries()) {
				if (Number.isNaN(value) || !touches(terminals, r, [e]) || touches(terminals, r, stuck)) continue;
				present++;
				counts.set(Math.abs(value), (counts.get(Math.abs(value)) ?? 0) + 1);
			}
			const same = Math.max(0, ...counts.values());
			if (same < FEWEST_STUCK || same < STUCK * present || same <= most) continue;
			most = same;
			worst = e;
		}
		if (worst < 0) return stuck;
		stuck.push(worst);
	}
}

/** One all of whose readings touch others that fail cannot be told from a good one. */
function withoutDoubted(terminals: Uint16Array, failing: readonly number[]): number[] {
	let accused = [...failing];
	for (const one of failing) {
		const others = accused.filter((other) => other !== one);
		const isDoubted = !Array.from({ length: terminals.length / 4 }, (_, r) => r).some(
			(r) => touches(terminals, r, [one]) && !touches(terminals, r, others),
		);
		if (isDoubted) accused = others;
	}
	return accused;
}

function touches(terminals: Uint16Array, r: number, electrodes: readonly number[]): boolean {
	for (let t = 4 * r; t < 4 * r + 4; t++) if (electrodes.includes(terminals[t]!)) return true;
	return false;
}
