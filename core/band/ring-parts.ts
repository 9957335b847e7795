import type { PlacedElectrodes } from "./electrodes.ts";

/** The skin line cut at the ends of the electrodes of several bands, so that one mesh suits them all. */
export interface RingParts {
	/** Stretches under electrodes, each as if it were an electrode. */
	readonly parts: PlacedElectrodes;
	/** For each band and part the electrode over it, or −1. [nBands] of [parts.count] */
	readonly electrodeOver: readonly Int16Array[];
}

/**
 * Where a limb tapers, electrodes one above the other start at almost the same place. Starts, and ends, nearer to each
 * other than this share of the narrowest electrode are laid together in their middle: otherwise slivers between them
 * would ask for a mesh that is many times finer, for half a millimetre of an electrode.
 */
const SAME = 0.1;

/**
 * @param rings electrodes of each band, placed on the same outline
 * @param same share of the narrowest electrode that may be laid together
 */
export function cutRing(rings: readonly PlacedElectrodes[], circumference: number, same = SAME): RingParts {
	const widths = rings.flatMap(({ start, end }) => Array.from(start, (from, i) => end[i]! - from));
	const tolerance = same * Math.min(...widths);
	const wrap = (s: number) => s - circumference * Math.floor(s / circumference);
	const starts = layTogether(
		rings.flatMap(({ start }) => Array.from(start, wrap)),
		tolerance,
		circumference,
	);
	const ends = layTogether(
		rings.flatMap(({ end }) => Array.from(end, wrap)),
		tolerance,
		circumference,
	);
	const cuts = [...new Set([...starts, ...ends])].sort((a, b) => a - b);
	const firsts = rings.map((_, band) => rings.slice(0, band).reduce((sum, { count }) => sum + count, 0));
	const start: number[] = [];
	const end: number[] = [];
	const over: number[][] = rings.map(() => []);
	for (const [i, from] of cuts.entries()) {
		const to = i + 1 < cuts.length ? cuts[i + 1]! : cuts[0]! + circumference;
		const middle = wrap((from + to) / 2);
		const electrodes = rings.map(({ count }, band) => {
			for (let l = 0; l < count; l++) {
				const begin = starts[firsts[band]! + l]!;
				if (wrap(middle - begin) < wrap(ends[firsts[band]! + l]! - begin)) return l;
			}
			return -1;
		});
		if (electrodes.every((electrode) => electrode < 0)) continue;
		start.push(from);
		end.push(to);
		for (const [band, electrode] of electrodes.entries()) over[band]!.push(electrode);
	}
	return {
		parts: { count: start.length, start: Float64Array.from(start), end: Float64Array.from(end) },
		electrodeOver: over.map((list) => Int16Array.from(list)),
	};
}

/** Moves places on a ring that are close together to their middle. */
function layTogether(places: readonly number[], tolerance: number, circumference: number): number[] {
	const order = Array.from(places.keys()).sort((a, b) => places[a]! - places[b]!);
	// begin behind a gap, so that no group runs over the ring's seam
	let seam = 0;
	for (const [i, at] of order.entries()) {
		const before = i === 0 ? places[order.at(-1)!]! - circumference : places[order[i - 1]!]!;
		if (places[at]! - before > tolerance) {
			seam = i;
			break;
		}
	}
	const moved = [...places];
	let group: { readonly place: number; readonly at: number }[] = [];
	const close = (): void => {
		const mean = group.reduce((sum, { at }) => sum + at, 0) / group.length;
		for (const { place } of group) moved[place] = mean - circumference * Math.floor(mean / circumference);
	};
	for (let i = 0; i < order.length; i++) {
		const k = seam + i;
		const place = order[k % order.length]!;
		const at = places[place]! + (k < order.length ? 0 : circumference);
		if (group.length > 0 && at - group.at(-1)!.at > tolerance) {
			close();
			group = [];
		}
		group.push({ place, at });
	}
	if (group.length > 0) close();
	return moved;
}
