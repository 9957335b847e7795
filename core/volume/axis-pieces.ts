/** Where a row of electrodes lies along the axis, m. */
export interface AxisBand {
	readonly from: number;
	readonly to: number;
}

/** The axis cut at the edges of all electrodes. */
export interface AxisPieces {
	/** [nPieces + 1] ascending, from 0 to the height, m */
	readonly breaks: Float64Array;
	/** For each band the breaks at its edges. */
	readonly bands: readonly { readonly from: number; readonly to: number }[];
}

export interface PieceSizes {
	/** How often the first piece beside an edge is `RATIO` of what it would be, on both sides of it. */
	readonly gradings: number;
	/** The body's radius, m: fields fade over about half of it, and pieces are not longer until two of it off. */
	readonly radius: number;
}

/** From an edge of an electrode, where the current density is steep, each break is so many times nearer than the next. */
const RATIO = 0.3;

/** No piece is longer near a band, as a share of the radius. */
const LONGEST = 0.5;

/** @param bands within the height, without overlap, in any order */
export function cutAxis(
	height: number,
	bands: readonly AxisBand[],
	{ gradings, radius }: PieceSizes,
): AxisPieces {
	const breaks = [0];
	const places = bands.map(() => ({ from: 0, to: 0 }));
	const cut = (to: number, fineBelow: boolean, fineAbove: boolean, finest: number): void => {
		const from = breaks.at(-1)!;
		const length = to - from;
		if (length <= 1e-9 * height) return;
		const reach = fineBelow && fineAbove ? length / 2 : length;
		const near: number[] = [];
		for (let d = finest; d < 0.7 * reach; d /= RATIO) near.push(d);
		const low = fineBelow ? near.map((d) => from + d) : [];
		const high = fineAbove ? near.map((d) => to - d).reverse() : [];
		for (const end of [...low, ...high, to]) {
			const start = breaks.at(-1)!;
			// far from every band a piece may be as long as it is away
			const away = Math.min(fineBelow ? start - from : Infinity, fineAbove ? to - end : Infinity);
			const longest = Math.max(LONGEST * radius, away > 2 * radius ? away : 0);
			const count = Math.ceil((end - start) / longest - 1e-9);
			for (let i = 1; i < count; i++) breaks.push(start + ((end - start) * i) / count);
			breaks.push(end);
		}
	};
	let isAboveBand = false;
	let finest = 0;
	const upwards = Array.from(bands.keys()).sort((a, b) => bands[a]!.from - bands[b]!.from);
	for (const band of upwards) {
		const { from, to } = bands[band]!;
		finest = ((to - from) / 2) * RATIO ** gradings;
		cut(from, isAboveBand, true, finest);
		const low = breaks.length - 1;
		cut(to, true, true, finest);
		places[band] = { from: low, to: breaks.length - 1 };
		isAboveBand = true;
	}
	cut(height, true, false, finest);
	return { breaks: Float64Array.from(breaks), bands: places };
}
