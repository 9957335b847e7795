import { useMemo, useState } from "preact/hooks";
import type { MeasureProgress, Progress } from "../../app/contract.ts";
import { SelectField } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { ProgressCard, verdictLine } from "../parts/progress-card.tsx";
import { AdherencePanel, EffortCard, PainCard, SymmetryPanel } from "../parts/progress-sides.tsx";
import { useLoaded } from "../parts/use-request.ts";
import { useWidth } from "../parts/use-width.ts";
import { hashOf } from "../route.ts";
import { unsafeList, unsafeWords } from "../text/comparison.ts";
import { formatMeasure } from "../text/measure.ts";
import { daysOf, type ProgressDays } from "../text/progress-days.ts";
import { formatDay } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";

const LEAST_CARD = 330;
const GAP = 16;
const CHART_HEIGHT = 150;
/** Most that the app hands out at once. */
const MOST_SESSIONS = 200;

/** A person's measures over weeks, each with the error that tells progress from noise. */
export function ProgressScreen({ personId }: { readonly personId: number }) {
	const loaded = useLoaded("getProgress", { personId }, `progress ${personId}`);
	if (loaded.state !== "ready") {
		return (
			<>
				<h1 class="visually-hidden">{reviewWords.progress.title}</h1>
				{loaded.state === "failed" ? (
					<div class="empty">
						<FaultNote fault={loaded.fault} />
					</div>
				) : (
					<LoadingNote text={reviewWords.progress.loading} />
				)}
			</>
		);
	}
	return <ProgressOf progress={loaded.value} />;
}

function ProgressOf({ progress }: { readonly progress: Progress }) {
	const groups = useMemo(() => groupsOf(progress.measures), [progress]);
	const [chosen, setChosen] = useState<string | null>(null);
	const [isTable, setTable] = useState(false);
	const [grid, width] = useWidth<HTMLDivElement>();
	const days = useMemo(() => daysOf(progress), [progress]);
	const group = groups.find(({ key }) => key === chosen) ?? groups[0];
	const columns = Math.max(1, Math.floor((width + GAP) / (LEAST_CARD + GAP)));
	const cardWidth = Math.floor((width - (columns - 1) * GAP) / columns) - 2;
	const place = { progress, days, width: cardWidth, height: CHART_HEIGHT };
	const { person, startedAt } = progress;
	const list = useLoaded(
		"listSessions",
		{ personId: person.id, offset: 0, limit: MOST_SESSIONS },
		`progress list ${person.id}`,
	);
	const isSimulated = list.state === "ready" && list.value.sessions.some(({ simulated }) => simulated);
	const sessions = new Set(
		progress.measures.flatMap(({ points }) => points.map(({ sessionId }) => sessionId)),
	);
	return (
		<>
			<header class="screen-head">
				<div>
					<h1>
						{reviewWords.progress.of(person.displayName ?? person.code)}
						{isSimulated && <span class="tag tag-simulated tag-after">{words.status.simulated}</span>}
					</h1>
					{startedAt !== null && (
						<p class="lead">
							{reviewWords.progress.weeks(sessions.size, Math.floor(days.last / 7) + 1)},{" "}
							{days.last === 0
								? formatDay(startedAt)
								: reviewWords.progress.between(formatDay(startedAt), days.long(days.last))}
						</p>
					)}
				</div>
				<a class="button button-quiet" href={hashOf({ screen: "person", personId: person.id })}>
					<Icon name="left" />
					{person.code}
				</a>
			</header>
			{group === undefined ? (
				<EmptyNote title={reviewWords.progress.emptyTitle} text={reviewWords.progress.emptyText}>
					<a class="button button-primary" href={hashOf({ screen: "person", personId: person.id })}>
						{reviewWords.review.toPerson}
					</a>
				</EmptyNote>
			) : (
				<>
					<div class="progress-tools">
						<SelectField
							label={reviewWords.progress.exercise}
							value={group.key}
							options={groups.map(({ key, name }) => ({ value: key, text: name }))}
							onChoose={setChosen}
						/>
						<p class="chart-key">
							<svg class="key-band" viewBox="0 0 24 12" aria-hidden="true">
								<rect width="24" height="12" />
								<line x1="0" y1="6" x2="24" y2="6" />
							</svg>
							{reviewWords.progress.bandKey}
							<svg class="key-break" viewBox="0 0 24 12" aria-hidden="true">
								<line x1="12" y1="0" x2="12" y2="12" />
							</svg>
							{reviewWords.progress.breakKey}
						</p>
						<button type="button" class="button" aria-pressed={isTable} onClick={() => setTable(!isTable)}>
							{reviewWords.progress.table}
						</button>
					</div>
					<Breaks measures={group.measures} />
				</>
			)}
			<div ref={grid} class="progress-grid" style={{ gridTemplateColumns: `repeat(${columns}, 1fr)` }}>
				{width > 0 &&
					group?.measures.map((measure) => (
						<ProgressCard
							key={measure.id}
							measure={measure}
							days={days}
							width={cardWidth}
							height={CHART_HEIGHT}
						/>
					))}
				{width > 0 && <PainCard {...place} />}
				{width > 0 && <EffortCard {...place} />}
			</div>
			{isTable && group !== undefined && <ValueTable measures={group.measures} days={days} />}
			{group !== undefined && (
				<div class="review-facts">
					<AdherencePanel progress={progress} />
					<SymmetryPanel progress={progress} />
				</div>
			)}
		</>
	);
}

interface Group {
	readonly key: string;
	readonly name: string;
	readonly measures: readonly MeasureProgress[];
}

/** One exercise on one side. */
function groupsOf(measures: readonly MeasureProgress[]): readonly Group[] {
	const groups = new Map<string, MeasureProgress[]>();
	for (const measure of measures) {
		if (measure.points.length === 0) continue;
		const key = `${measure.exerciseId} ${measure.side}`;
		const group = groups.get(key);
		if (group === undefined) groups.set(key, [measure]);
		else group.push(measure);
	}
	return [...groups].map(([key, group]) => {
		const { exerciseName, side } = group[0]!;
		const sideName = side === "left" ? words.picture.leftThigh : words.picture.rightThigh;
		return { key, name: `${exerciseName}, ${sideName.toLowerCase()}`, measures: group };
	});
}

/** Where and why the lines break, once for all measures that break there. */
function Breaks({ measures }: { readonly measures: readonly MeasureProgress[] }) {
	const bySession = new Map<
		number,
		{ at: string; reasons: Set<Parameters<typeof unsafeWords>[0]>; names: Set<string> }
	>();
	for (const { points, name } of measures) {
		for (const { sessionId, startedAt, brokenBy } of points) {
			if (brokenBy.length === 0) continue;
			const entry = bySession.get(sessionId) ?? { at: startedAt, reasons: new Set(), names: new Set() };
			for (const reason of brokenBy) entry.reasons.add(reason);
			entry.names.add(name);
			bySession.set(sessionId, entry);
		}
	}
	if (bySession.size === 0) return null;
	const breaks = [...bySession].sort(([, a], [, b]) => Date.parse(a.at) - Date.parse(b.at));
	return (
		<section class="note progress-breaks" aria-label={reviewWords.progress.breaks}>
			<Icon name="caution" />
			<div>
				<p>
					<strong>{reviewWords.progress.breaks}</strong>
				</p>
				<ul>
					{breaks.map(([sessionId, { at, reasons, names }]) => (
						<li key={sessionId} title={[...reasons].map((reason) => unsafeWords(reason).why).join(" ")}>
							<a href={hashOf({ screen: "review", sessionId })}>{formatDay(at)}</a>:{" "}
							{unsafeList([...reasons])}
							{names.size < measures.length && reviewWords.progress.breakOf([...names])}
						</li>
					))}
				</ul>
			</div>
		</section>
	);
}

function ValueTable({
	measures,
	days,
}: {
	readonly measures: readonly MeasureProgress[];
	readonly days: ProgressDays;
}) {
	const sessions = new Map<number, number>();
	for (const { points } of measures) for (const { sessionId, day } of points) sessions.set(sessionId, day);
	const rows = [...sessions].sort((a, b) => a[1] - b[1]);
	return (
		<div class="panel value-table-space">
			<table class="session-table value-table">
				<thead>
					<tr>
						<th scope="col">{words.sessions.columnDate}</th>
						{measures.map(({ id, name }) => (
							<th key={id} scope="col" class="number">
								{name}
							</th>
						))}
					</tr>
				</thead>
				<tbody>
					{rows.map(([sessionId, day]) => (
						<tr key={sessionId}>
							<th scope="row">
								<a href={hashOf({ screen: "review", sessionId })}>{days.text(day)}</a>
							</th>
							{measures.map((measure) => {
								const index = measure.points.findIndex((point) => point.sessionId === sessionId);
								const point = measure.points[index];
								return (
									<td
										key={measure.id}
										class="number figures"
										title={point === undefined ? undefined : verdictLine(measure, index, days)}
									>
										{formatMeasure(point?.value ?? null, measure.unit)}
										{point?.band != null && (
											<span class="set-detail">
												{reviewWords.progress.between(
													formatMeasure(point.band[0], measure.unit),
													formatMeasure(point.band[1], measure.unit),
												)}
											</span>
										)}
									</td>
								);
							})}
						</tr>
					))}
				</tbody>
			</table>
		</div>
	);
}
