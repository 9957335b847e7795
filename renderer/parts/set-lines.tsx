/** Region lines of one set from a little before its start, on ends that another plot may share. */
import { useEffect, useMemo, useRef } from "preact/hooks";
import type { SetRecord, Trends } from "../../app/contract.ts";
import { createTrendLines } from "../draw/trend-lines.ts";
import type { Unit } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { useModel } from "./model-context.ts";
import { ringOf } from "./replay-trends.tsx";

/** Rest that is shown before a set, s. */
const LEAD_SECONDS = 3;

export interface LineSpan {
	readonly from: number;
	readonly to: number;
}

/** @param seconds how much is shown in all, so that two sets keep the same scale of time */
export function spanOfSet(set: SetRecord, seconds: number): LineSpan {
	return { from: set.startSeconds - LEAD_SECONDS, to: set.startSeconds - LEAD_SECONDS + seconds };
}

export function shownSeconds(sets: readonly SetRecord[]): number {
	return (
		2 * LEAD_SECONDS + Math.max(1, ...sets.map(({ startSeconds, endSeconds }) => endSeconds - startSeconds))
	);
}

/** Lowest and highest value within the spans of several sets, with some room. */
export function sharedEnds(
	shown: readonly { readonly trends: Trends; readonly span: LineSpan }[],
): readonly [bottom: number, top: number] {
	let low = 0;
	let high = 0;
	for (const { trends, span } of shown) {
		for (const line of trends.values) {
			line.forEach((value, i) => {
				const seconds = trends.seconds[i]!;
				if (value === null || seconds < span.from || seconds > span.to) return;
				low = Math.min(low, value);
				high = Math.max(high, value);
			});
		}
	}
	const room = Math.max(1e-6, 0.08 * (high - low));
	return [low - room, high + room];
}

export function SetLines({
	trends,
	span,
	ends,
	unit,
	start,
}: {
	readonly trends: Trends;
	readonly span: LineSpan;
	readonly ends: readonly [bottom: number, top: number];
	readonly unit: Unit;
	/** Where the set begins: the axis counts from there. */
	readonly start: number;
}) {
	const { frames, theme } = useModel();
	const host = useRef<HTMLDivElement>(null);
	const ring = useMemo(() => ringOf(trends), [trends]);
	const { from, to } = span;
	const [bottom, top] = ends;
	useEffect(() => {
		if (ring === null) return;
		const lines = createTrendLines(
			host.current!,
			frames,
			theme,
			{
				regions: trends.regions.map(({ name }, i) => ({ name, trendIndex: i })),
				unit,
				onZoom: () => {},
				onPick: () => {},
			},
			() => ({ ring, from, to, axis: "clock", origin: start, playhead: null, ends: [bottom, top] }),
		);
		lines.ask();
		return () => lines.dispose();
	}, [ring, trends, unit, from, to, start, bottom, top, frames, theme]);
	return (
		<div
			ref={host}
			class="trend-host set-lines"
			role="img"
			aria-label={words.trends.canvas(trends.regions.length)}
		/>
	);
}
