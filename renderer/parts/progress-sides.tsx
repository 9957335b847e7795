/** What belongs to a person's progress besides the measures: pain, effort, how the plan was kept, and both sides. */
import { type ComponentChildren, Fragment } from "preact";
import { useState } from "preact/hooks";
import type { Progress } from "../../app/contract.ts";
import type { Share } from "../../core/exercise/adherence.ts";
import type { ProgressPoint } from "../../core/exercise/progress.ts";
import { layOutProgress } from "../draw/progress-chart.ts";
import { hashOf } from "../route.ts";
import { caveatWords, symmetrySides, symmetryWords } from "../text/comparison.ts";
import { morningWords } from "../text/how-measured.ts";
import { formatScore } from "../text/measure.ts";
import { type ProgressDays, startsOf } from "../text/progress-days.ts";
import { formatDay, formatQuantity } from "../text/quantity.ts";
import { measureKindWords, reviewWords } from "../text/review-words.ts";
import { ChartFrame } from "./chart-frame.tsx";

const SIZE = { left: 44, right: 8, top: 10, bottom: 24 };
const SCALE_ENDS = [0, 10];
/** The newest weeks come first to mind; the others are a button away. */
const WEEKS_SHOWN = 10;

interface Place {
	readonly progress: Progress;
	readonly days: ProgressDays;
	readonly width: number;
	readonly height: number;
}

export function PainCard({ progress, days, width, height }: Place) {
	const { points, verdict } = progress.pain;
	const worst = scorePoints(points.map(({ day, worst: value }) => ({ day, value })));
	const before = scorePoints(points.map(({ day, before: value }) => ({ day, value })));
	const shown = worst.length > 0 ? worst : before;
	if (shown.length === 0) return null;
	const mornings = points.flatMap(({ nextMorning }) => nextMorning ?? []);
	const settled = mornings.filter(({ verdict: of }) => of === "settled").length;
	const newest = mornings.at(-1);
	const size = { ...SIZE, width, height };
	const chart = layOutProgress(shown, size, days.last, { ends: SCALE_ENDS });
	const second =
		worst.length > 0 && before.length > 0
			? layOutProgress(before, size, days.last, { ends: SCALE_ENDS })
			: null;
	return (
		<ScoreCard
			title={reviewWords.progress.pain}
			note={reviewWords.progress.painScale}
			value={formatScore(shown.at(-1)!.value)}
			on={days.text(shown.at(-1)!.day)}
			line={verdict === null ? "" : reviewWords.progress.painVerdict[verdict]}
			foot={
				<>
					<p class="chart-key">
						<KeyLine /> {reviewWords.progress.painWorst}
						{second !== null && (
							<>
								<KeyLine isSecond /> {reviewWords.progress.painBefore}
							</>
						)}
					</p>
					{newest !== undefined && (
						<p class="chart-key">
							{reviewWords.progress.mornings(mornings.length, settled)} {morningWords(newest)}
						</p>
					)}
				</>
			}
		>
			<ChartFrame
				chart={chart}
				second={second}
				width={width}
				height={height}
				label={reviewWords.progress.chart(reviewWords.progress.pain, shown.length)}
				yText={String}
				xText={days.text}
			/>
		</ScoreCard>
	);
}

export function EffortCard({ progress, days, width, height }: Place) {
	const { effort } = progress;
	if (effort.length === 0) return null;
	const size = { ...SIZE, width, height };
	const mean = scorePoints(effort.map(({ day, mean: value }) => ({ day, value })));
	const highest = scorePoints(effort.map(({ day, highest: value }) => ({ day, value })));
	return (
		<ScoreCard
			title={reviewWords.progress.effort}
			note={reviewWords.progress.effortScale}
			value={formatScore(mean.at(-1)!.value)}
			on={days.text(mean.at(-1)!.day)}
			line=""
			foot={
				<p class="chart-key">
					<KeyLine /> {reviewWords.progress.effortMean}
					<KeyLine isSecond /> {reviewWords.progress.effortHighest}
				</p>
			}
		>
			<ChartFrame
				chart={layOutProgress(mean, size, days.last, { ends: SCALE_ENDS })}
				second={layOutProgress(highest, size, days.last, { ends: SCALE_ENDS })}
				width={width}
				height={height}
				label={reviewWords.progress.chart(reviewWords.progress.effort, mean.length)}
				yText={String}
				xText={days.text}
			/>
		</ScoreCard>
	);
}

function ScoreCard({
	title,
	note,
	value,
	on,
	line,
	foot,
	children,
}: {
	readonly title: string;
	readonly note: string;
	readonly value: string;
	readonly on: string;
	readonly line: string;
	readonly foot: ComponentChildren;
	readonly children: ComponentChildren;
}) {
	return (
		<section class="panel progress-card" aria-label={title}>
			<header class="progress-card-head">
				<h3>
					{title} <span class="fact-note">{note}</span>
				</h3>
				<p class="progress-value figures">
					{value}
					<span class="fact-note">{on}</span>
				</p>
				<p class="progress-verdict">{line}</p>
			</header>
			{children}
			{foot}
		</section>
	);
}

function KeyLine({ isSecond = false }: { readonly isSecond?: boolean }) {
	return (
		<svg class={isSecond ? "key-line key-line-second" : "key-line"} viewBox="0 0 24 8" aria-hidden="true">
			<line x1="1" y1="4" x2="23" y2="4" />
		</svg>
	);
}

/** What the plan asked for and what was done, week by week. */
export function AdherencePanel({ progress }: { readonly progress: Progress }) {
	const { adherence, adherenceOverall } = progress;
	const [isAll, setAll] = useState(false);
	const shown = isAll ? adherence : adherence.slice(-WEEKS_SHOWN);
	const rows = shown.map((week) => ({ name: formatDay(week.from), week }));
	return (
		<section class="panel form-section" aria-label={reviewWords.progress.adherence}>
			<h2>{reviewWords.progress.adherence}</h2>
			{rows.length === 0 ? (
				<p class="lead">{reviewWords.progress.adherenceNone}</p>
			) : (
				<table class="adherence">
					<thead class="adherence-head">
						<tr>
							<th scope="col">{reviewWords.progress.week}</th>
							<th scope="col">{reviewWords.progress.sessionsShare}</th>
							<th scope="col">{reviewWords.progress.setsShare}</th>
							<th scope="col">{reviewWords.progress.repetitionsShare}</th>
							<th scope="col">{reviewWords.progress.holdShare}</th>
						</tr>
					</thead>
					<tbody>
						{[
							...rows,
							...(adherenceOverall === null
								? []
								: [{ name: reviewWords.progress.overall, week: adherenceOverall }]),
						].map(({ name, week }) => (
							<tr key={name} class={week === adherenceOverall ? "adherence-overall" : undefined}>
								<th scope="row">{name}</th>
								<ShareCell share={week.sessions} />
								<ShareCell share={week.sets} />
								<ShareCell share={week.repetitions} />
								<td class="figures">{percentWords(week.holdPercent)}</td>
							</tr>
						))}
					</tbody>
				</table>
			)}
			{shown.length < adherence.length && (
				<button type="button" class="button button-quiet button-small all-weeks" onClick={() => setAll(true)}>
					{reviewWords.progress.allWeeks(adherence.length)}
				</button>
			)}
		</section>
	);
}

function ShareCell({ share }: { readonly share: Share }) {
	return (
		<td>
			<div class="share">
				<svg class="share-bar" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
					<rect class="bar-track" width="100" height="8" />
					<rect class="share-done" width={share.percent ?? 0} height="8" />
				</svg>
				<span class="figures">
					{share.prescribed === 0
						? share.done === 0
							? "–"
							: String(share.done)
						: reviewWords.progress.adherenceShare(share.done - share.beyond, share.prescribed)}
				</span>
			</div>
			{share.beyond > 0 && share.prescribed > 0 && (
				<span class="set-detail">{reviewWords.progress.beyond(share.beyond)}</span>
			)}
		</td>
	);
}

export function SymmetryPanel({ progress }: { readonly progress: Progress }) {
	const { symmetry } = progress;
	const first = symmetry[0];
	const caveats = [
		...new Set(symmetry.flatMap(({ index }) => (index.state === "measured" ? index.caveats : []))),
	];
	return (
		<section class="panel form-section" aria-label={reviewWords.progress.symmetry}>
			<div class="panel-line">
				<h2>{reviewWords.progress.symmetry}</h2>
				{first !== undefined && (
					<a
						class="button"
						href={hashOf({
							screen: "compare",
							first: first.involved.sessionId,
							second: first.uninvolved.sessionId,
						})}
					>
						{reviewWords.progress.symmetryPictures}
					</a>
				)}
			</div>
			{symmetry.length === 0 ? (
				<p class="lead">{reviewWords.progress.symmetryNone}</p>
			) : (
				<>
					<dl class="facts">
						{symmetry.map((entry) => (
							<Fragment key={`${entry.exerciseId} ${entry.kind}`}>
								<dt>
									{entry.exerciseName}, {measureKindWords[entry.kind].toLowerCase()}
								</dt>
								<dd>
									{symmetryWords(entry.index, entry.error)}
									<span class="set-detail">{symmetrySides(entry, startsOf(progress))}</span>
								</dd>
							</Fragment>
						))}
					</dl>
					<ul class="caveats">
						{caveats.map((caveat) => (
							<li key={caveat}>{caveatWords(caveat)}</li>
						))}
					</ul>
				</>
			)}
		</section>
	);
}

function scorePoints(
	values: readonly { readonly day: number; readonly value: number | null }[],
): readonly ProgressPoint[] {
	return values.flatMap(({ day, value }) =>
		value === null ? [] : [{ day, value, band: null, brokenBy: [], change: null, verdict: null }],
	);
}

function percentWords(percent: number | null): string {
	return percent === null ? "–" : formatQuantity(percent, 0, "%");
}
