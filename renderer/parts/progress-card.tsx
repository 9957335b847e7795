/** One measure over weeks: its line with its error band, what the newest value is worth, and where it breaks. */
import { useState } from "preact/hooks";
import type { MeasureProgress } from "../../app/contract.ts";
import { layOutProgress, nearestPoint } from "../draw/progress-chart.ts";
import { hashOf } from "../route.ts";
import { verdictWords } from "../text/comparison.ts";
import {
	formatDifference,
	formatMeasure,
	formatSpread,
	formatTick,
	leastSpan,
	type MeasureUnit,
	measureUnitText,
} from "../text/measure.ts";
import type { ProgressDays } from "../text/progress-days.ts";
import { reviewWords } from "../text/review-words.ts";
import { ChartFrame } from "./chart-frame.tsx";

const SIZE = { left: 44, right: 8, top: 10, bottom: 24 };

export function ProgressCard({
	measure,
	days,
	width,
	height,
}: {
	readonly measure: MeasureProgress;
	readonly days: ProgressDays;
	readonly width: number;
	readonly height: number;
}) {
	const [looked, setLooked] = useState<number | null>(null);
	const { points, unit } = measure;
	const chart = layOutProgress(points, { ...SIZE, width, height }, days.last, {
		leastSpan: leastSpan(unit, measure.kind),
	});
	const index = looked ?? points.length - 1;
	const point = points[index]!;

	function onKeyDown(event: KeyboardEvent): void {
		const to = { ArrowLeft: index - 1, ArrowRight: index + 1, Home: 0, End: points.length - 1 }[event.key];
		if (to !== undefined) setLooked(Math.max(0, Math.min(points.length - 1, to)));
		else if (event.key === "Enter") location.hash = hashOf({ screen: "review", sessionId: point.sessionId });
		else return;
		event.preventDefault();
	}

	return (
		<section class="panel progress-card" aria-label={measure.name}>
			<header class="progress-card-head">
				<h3>
					{measure.name} <span class="fact-note">{measureUnitText(unit, measure.kind)}</span>
				</h3>
				<p class="progress-value figures">
					{formatMeasure(point.value, unit)}
					<span class="fact-note">{days.text(point.day)}</span>
				</p>
				<p class="progress-verdict">{verdictLine(measure, index, days)}</p>
			</header>
			<ChartFrame
				chart={chart}
				width={width}
				height={height}
				label={reviewWords.progress.chart(measure.name, points.length)}
				yText={(value) => formatTick(value, unit)}
				xText={days.text}
				looked={looked}
				onLook={(x) => setLooked(x === null ? null : nearestPoint(chart.points, x))}
				onOpen={() => {
					location.hash = hashOf({ screen: "review", sessionId: point.sessionId });
				}}
				onKeyDown={onKeyDown}
			/>
			<p class="progress-error">{errorWords(measure)}</p>
		</section>
	);
}

/** How much the measure moves by itself, as far as that is known. */
export function errorWords({ error, unit }: MeasureProgress): string {
	if (error === null) return reviewWords.progress.errorUnknown;
	const sem = formatSpread(error.sem, unit);
	const change = formatSpread(error.minimalDetectableChange, unit);
	return error.isOneStep
		? reviewWords.progress.errorOfStep(sem, change, stepWords(unit))
		: reviewWords.progress.error(sem, change, error.pairs);
}

/** What a measure is known to at best. */
function stepWords(unit: MeasureUnit): string {
	if (unit === "s") return reviewWords.progress.oneFrame;
	return unit === "repetitions" ? reviewWords.progress.oneRepetition : reviewWords.progress.oneDigit;
}

/** How far a value lies from the first of its unbroken stretch, and what that is worth. */
export function verdictLine(measure: MeasureProgress, index: number, days: ProgressDays): string {
	const point = measure.points[index]!;
	if (point.change === null || point.verdict === null) return reviewWords.progress.onlyOne;
	const start = measure.points.findLast((candidate, i) => i <= index && candidate.change === null)!;
	const change = formatDifference(point.change, measure.unit);
	return `${change} ${reviewWords.progress.sinceStart(days.text(start.day))}: ${verdictWords(point.verdict)}`;
}
