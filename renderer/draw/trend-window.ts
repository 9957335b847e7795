/** Which span of a live trend is shown: following the newest sample, or standing still where a person put it. */
import type { TrendWindow } from "../preferences.ts";

export interface Span {
	readonly from: number;
	readonly to: number;
}

/** Nothing shorter is worth looking at. */
const SHORTEST_SECONDS = 1;

export function followingSpan(window: TrendWindow, first: number, last: number): Span {
	if (window !== "all") return { from: last - window, to: last };
	return { from: first, to: Math.max(last, first + 10) };
}

/** Zooms about the middle; `factor` below 1 shows less. Never beyond `first` to `last`. */
export function zoomSpan(span: Span, factor: number, first: number, last: number): Span {
	const middle = (span.from + span.to) / 2;
	const half = Math.max(SHORTEST_SECONDS / 2, ((span.to - span.from) / 2) * factor);
	return clampSpan({ from: middle - half, to: middle + half }, first, last);
}

/** Moves by a share of the span's length; the length stays. */
export function moveSpan(span: Span, share: number, first: number, last: number): Span {
	const by = (span.to - span.from) * share;
	return clampSpan({ from: span.from + by, to: span.to + by }, first, last);
}

function clampSpan({ from, to }: Span, first: number, last: number): Span {
	const length = Math.min(to - from, Math.max(SHORTEST_SECONDS, last - first));
	const start = Math.max(first, Math.min(last - length, from));
	return { from: start, to: start + length };
}
