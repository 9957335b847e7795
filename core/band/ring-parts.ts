import type { PlacedElectrodes } from "./electrodes.ts";

/** The skin line cut at the ends of the electrodes of several bands, so that one mesh suits them all. */
export interface RingParts {
	/** Stretches under electrodes, each as if it were an electrode. */
	readonly parts: PlacedElectrodes;
	/** For each band and part the electrode over it, or −1. [nBands] of [parts.count] */
	readonly electrodeOver: readonly Int16Array[];
}

/**
 * Where a limb tapers, electrodes one above the other start at almost the same place; where bands are turned, one starts
 * almost where another ends. Ends of different bands nearer to each other than this share of the narrowest electrode are
 * laid together in their middle: otherwise slivers between them would ask for a mesh that is many times finer, for half a
 * millimetre of an electrode.
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
	const places = rings.flatMap(({ start, end }, band) =>
		[...start, ...end].map((s) => ({ at: wrap(s), band })),
	);
	const laid = layTogether(places, tolerance, circumference);
	const cuts = [...new Set(laid)].sort((a, b) => a - b);
	const firsts = rings.map((_, band) => rings.slice(0, band).reduce((sum, { count }) => sum + 2 * count, 0));
	const start: number[] = [];
	const end: number[] = [];
	const over: number[][] = rings.map(() => []);
	for (const [i, from] of cuts.entries()) {
		const to = i + 1 < cuts.length ? cuts[i + 1]! : cuts[0]! + circumference;
		const middle = wrap((from + to) / 2);
		const electrodes = rings.map(({ count }, band) => {
			for (let l = 0; l < count; l++) {
				const begin = laid[firsts[band]! + l]!;
				const width = wrap(laid[firsts[band]! + count + l]! - begin);
				if (wrap(middle - begin) < width) return l;
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

interface End {
	/** m */
	readonly at: number;
	readonly band: number;
}

/** Moves places on a ring that are close together to their middle, but never two of the same band. @returns [places] m */
function layTogether(places: readonly End[], tolerance: number, circumference: number): number[] {
	const order = Array.from(places.keys()).sort((a, b) => places[a]!.at - places[b]!.at);
	// begin behind a gap, so that no group runs over the ring's seam
	let seam = 0;
	for (const [i, place] of order.entries()) {
		const before = i === 0 ? places[order.at(-1)!]!.at - circumference : places[order[i - 1]!]!.at;
		if (places[place]!.at - before > tolerance) {
			seam = i;
			break;
		}
	}
	const laid = places.map(({ at }) => at);
	let group: { readonly place: number; readonly at: number }[] = [];
	const close = (): void => {
		const mean = group.reduce((sum, { at }) => sum + at, 0) / group.length;
		for (const { place } of group) laid[place] = mean - circumference * Math.floor(mean / circumference);
	};
	for (let i = 0; i < order.length; i++) {
		const k = seam + i;
		const place = order[k % order.length]!;
		const { at: from, band } = places[place]!;
		const at = from + (k < order.length ? 0 : circumference);
		const joins =
			group.length > 0 &&
			at - group.at(-1)!.at <= tolerance &&
			group.every((other) => places[other.place]!.band !== band);
		if (group.length > 0 && !joins) {
			close();
			group = [];
		}
		group.push({ place, at });
	}
	close();
	return laid;
}
