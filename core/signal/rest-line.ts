import { medianOf } from "../exercise/rest-level.ts";

/** A stretch of rest, s. */
export interface RestSpan {
	readonly from: number;
	readonly to: number;
}

/**
 * Takes slow drift out of a finished trend: a line through the median of every rest, straight in between and level before
 * the first and after the last (piecewise-linear baseline; common practice, no source). A hold lies between two rests and
 * keeps its height.
 *
 * @param seconds [n] ascending
 * @param values [n] NaN in gaps
 * @param rests in order; without overlap. None: `values` unchanged
 * @returns [n]
 */
export function withoutDrift(
	seconds: ArrayLike<number>,
	values: ArrayLike<number>,
	rests: readonly RestSpan[],
): Float64Array {
	const knots: { readonly at: number; readonly level: number }[] = [];
	let from = 0;
	for (const rest of rests) {
		while (from < seconds.length && seconds[from]! < rest.from) from++;
		const inside: number[] = [];
		for (let i = from; i < seconds.length && seconds[i]! <= rest.to; i++)
			if (!Number.isNaN(values[i]!)) inside.push(values[i]!);
		if (inside.length > 0) knots.push({ at: (rest.from + rest.to) / 2, level: medianOf(inside) });
	}
	let next = 0;
	return Float64Array.from({ length: values.length }, (_, i) => {
		while (next < knots.length && knots[next]!.at <= seconds[i]!) next++;
		const before = knots[next - 1];
		const after = knots[next];
		if (before === undefined || after === undefined) return values[i]! - ((before ?? after)?.level ?? 0);
		const share = (seconds[i]! - before.at) / (after.at - before.at);
		return values[i]! - before.level - share * (after.level - before.level);
	});
}
