/** What a report says, before it is laid out: words and figures only, from what the app has stored. */
import type {
	MeasureProgress,
	PersonRecord,
	Progress,
	SessionReview,
	SetRecord,
} from "../../app/contract.ts";
import { cautions } from "../../core/safety/cautions.ts";
import { caveatWords, symmetrySides, symmetryWords, unsafeWords, verdictWords } from "../text/comparison.ts";
import { type Fact, howMeasured, qualityFacts } from "../text/how-measured.ts";
import { formatDifference, formatMeasure, formatScore } from "../text/measure.ts";
import { setsByExercise } from "../text/objective.ts";
import { startsOf } from "../text/progress-days.ts";
import { formatClock, formatDateTime, formatDay, type Unit } from "../text/quantity.ts";
import { measureKindWords, reviewWords } from "../text/review-words.ts";
import { type SetMeasureId, setMeasures, setMeasureWords } from "../text/set-measures.ts";
import { words } from "../text/words.ts";

export interface ReportInput {
	readonly review: SessionReview;
	/** Null for a recording that belongs to nobody. */
	readonly person: PersonRecord | null;
	readonly progress: Progress | null;
}

/** One exercise in one line, its measures the means over its sets. */
export interface SummaryRow {
	readonly key: string;
	readonly exercise: string;
	readonly sets: string;
	readonly repetitions: string;
	readonly hold: string;
	readonly holdBand: string;
	readonly engagement: string;
	/** What the true value lies between; or that its error is unknown. */
	readonly engagementBand: string;
	readonly change: string;
	readonly verdict: string;
	readonly pain: string;
	readonly effort: string;
}

/** Sets of one exercise side by side. */
export interface SetTable {
	readonly key: string;
	readonly title: string;
	readonly prescribed: string;
	readonly sets: readonly SetRecord[];
	readonly columns: readonly string[];
	readonly rows: readonly {
		readonly name: string;
		readonly note: string;
		readonly cells: readonly { readonly value: string; readonly detail: string | null }[];
	}[];
}

export interface ReportModel {
	readonly title: string;
	readonly isSimulated: boolean;
	readonly unit: Unit;
	readonly who: readonly Fact[];
	readonly goals: string;
	readonly summary: readonly SummaryRow[];
	readonly tables: readonly SetTable[];
	/** Of exercises in this session with more than one point. */
	readonly trends: readonly MeasureProgress[];
	/** How the plan was kept, pain over the sessions, and both sides of this session's exercises. */
	readonly course: readonly Fact[];
	/** How not to read an index of both sides; empty without one. */
	readonly caveats: readonly string[];
	readonly comparability: readonly string[];
	readonly measured: readonly Fact[];
	readonly quality: readonly Fact[];
	/** Headings with their paragraphs; only parts that somebody wrote. */
	readonly notes: readonly { readonly heading: string; readonly paragraphs: readonly string[] }[];
	readonly reading: readonly string[];
	readonly cautions: readonly string[];
}

/** More columns do not fit on paper. */
const SETS_IN_A_TABLE = 4;
/** A paragraph that is longer is cut between words, so that every piece fits on a page. */
const LONGEST_PARAGRAPH = 1600;

export function createReport({ review, person, progress }: ReportInput): ReportModel {
	const { session } = review;
	const unit: Unit = review.measured.pictures[0]?.unit ?? "S/m";
	const groups = setsByExercise(review.sets);
	const done = new Set(review.sets.map(({ item }) => item.exercise.id));
	const symmetry = (progress?.symmetry ?? []).filter(({ exerciseId }) => done.has(exerciseId));
	return {
		title: session.title === "" ? words.sessions.untitled : session.title,
		isSimulated: session.simulated,
		unit,
		who: whoFacts(review, person),
		goals: person?.goals.trim() ?? "",
		summary: groups.map(({ key, sets }) => summaryRow(key, sets, session.id, progress)),
		tables: groups.flatMap(({ key, sets }) => setTables(key, sets, unit)),
		trends: groups.flatMap(({ sets }) => trendsOf(sets[0]!, progress)),
		course: progress === null ? [] : courseFacts(progress, symmetry),
		caveats: [
			...new Set(symmetry.flatMap(({ index }) => (index.state === "measured" ? index.caveats : []))),
		].map(caveatWords),
		comparability: comparabilityLines(review),
		measured: howMeasured(review),
		quality: qualityFacts(review),
		notes: noteParts(review),
		reading: [
			reviewWords.review.engagementIs,
			"Values are means over full repetitions; ± is the standard deviation between repetitions. A range in brackets holds the true value 19 times in 20, where the measure’s error is known.",
			...words.about.cannot.slice(0, 2),
			words.about.cannot.at(-1)!,
		],
		cautions: [cautions.notice, cautions.stop],
	};
}

function whoFacts({ session, sets }: SessionReview, person: PersonRecord | null): readonly Fact[] {
	const facts: Fact[] = [];
	const who = person?.person;
	facts.push({
		name: reviewWords.report.person,
		value: who?.code ?? session.personCode ?? words.status.noPerson,
	});
	if (who?.displayName != null) facts.push({ name: reviewWords.report.name, value: who.displayName });
	if (who !== undefined) {
		facts.push({ name: reviewWords.report.affected, value: words.setUp.sides[who.affectedSide] });
	}
	facts.push({ name: reviewWords.report.date, value: formatDateTime(session.startedAt) });
	facts.push({
		name: reviewWords.report.length,
		value: `${formatClock(session.durationSeconds)}, ${reviewWords.report.sets(sets.length)}`,
	});
	return facts;
}

function summaryRow(
	key: string,
	sets: readonly SetRecord[],
	sessionId: number,
	progress: Progress | null,
): SummaryRow {
	const { item } = sets[0]!;
	const find = (kind: MeasureProgress["kind"]) =>
		progress?.measures.find(
			(measure) =>
				measure.kind === kind && measure.exerciseId === item.exercise.id && measure.side === item.side,
		);
	const pointOf = (measure: MeasureProgress | undefined) =>
		measure?.points.find((point) => point.sessionId === sessionId);
	const bandOf = (measure: MeasureProgress | undefined, at: ReturnType<typeof pointOf>): string => {
		if (measure === undefined || at === undefined) return "";
		if (at.band === null) return "error unknown";
		return `${formatMeasure(at.band[0], measure.unit)} to ${formatMeasure(at.band[1], measure.unit)}`;
	};
	const engagement = find("peak-engagement");
	const point = pointOf(engagement);
	const hold = find("hold-seconds");
	const holdPoint = pointOf(hold);
	const pains = sets.flatMap(({ answer }) => answer?.pain ?? []);
	const efforts = sets.flatMap(({ answer }) => answer?.effort ?? []);
	const full = sets.reduce((sum, { countThatHolds }) => sum + (countThatHolds?.full ?? 0), 0);
	return {
		key,
		exercise: `${item.exercise.name}, ${item.side}`,
		sets: `${sets.length} of ${item.dose.sets}`,
		repetitions: `${full} of ${item.dose.sets * item.dose.repetitions}`,
		hold: formatMeasure(holdPoint?.value ?? null, "s"),
		holdBand: bandOf(hold, holdPoint),
		engagement: formatMeasure(point?.value ?? null, engagement?.unit ?? "%"),
		engagementBand: bandOf(engagement, point),
		change:
			point?.change == null || engagement === undefined
				? "–"
				: formatDifference(point.change, engagement.unit),
		verdict: point === undefined || engagement === undefined ? "" : sinceWords(engagement, point),
		pain: pains.length === 0 ? "–" : formatScore(Math.max(...pains)),
		effort: efforts.length === 0 ? "–" : formatScore(Math.max(...efforts)),
	};
}

/** Against the first session of the stretch that was measured the same way. */
function sinceWords(measure: MeasureProgress, point: MeasureProgress["points"][number]): string {
	if (point.verdict === null) return reviewWords.report.nothingBefore;
	const start = measure.points.findLast(({ day, change }) => day <= point.day && change === null);
	return start === undefined
		? verdictWords(point.verdict)
		: reviewWords.report.since(formatDay(start.startedAt), verdictWords(point.verdict));
}

function setTables(key: string, sets: readonly SetRecord[], unit: Unit): SetTable[] {
	const { item } = sets[0]!;
	const order = Object.keys(setMeasureWords) as SetMeasureId[];
	const tables: SetTable[] = [];
	for (let from = 0; from < sets.length; from += SETS_IN_A_TABLE) {
		const part = sets.slice(from, from + SETS_IN_A_TABLE);
		const measures = part.map((set) => new Map(setMeasures(set, unit).map((entry) => [entry.id, entry])));
		tables.push({
			key: `${key} ${from}`,
			title: `${item.exercise.name}, ${item.side} thigh`,
			prescribed: reviewWords.review.prescribed(
				item.dose.sets,
				item.dose.repetitions,
				item.dose.holdSeconds,
				item.dose.target.low,
				item.dose.target.high,
			),
			sets: part,
			columns: part.map(({ set }) => reviewWords.review.set(set)),
			rows: order
				.filter((id) => measures.some((of) => of.has(id)))
				.map((id) => ({
					name: setMeasureWords[id].name,
					note: setMeasureWords[id].note,
					cells: measures.map((of) => ({
						value: of.get(id)?.value ?? "–",
						detail: of.get(id)?.detail ?? null,
					})),
				})),
		});
	}
	return tables;
}

function trendsOf({ item }: SetRecord, progress: Progress | null): readonly MeasureProgress[] {
	return (progress?.measures ?? []).filter(
		({ kind, exerciseId, side, points }) =>
			kind === "peak-engagement" &&
			exerciseId === item.exercise.id &&
			side === item.side &&
			points.length > 1,
	);
}

function courseFacts(progress: Progress, symmetry: Progress["symmetry"]): readonly Fact[] {
	const facts: Fact[] = [];
	const { adherenceOverall: kept, pain } = progress;
	if (kept !== null) {
		const share = ({ done, beyond, prescribed }: typeof kept.sessions): string =>
			reviewWords.progress.adherenceShare(done - beyond, prescribed);
		facts.push({
			name: reviewWords.report.planKept,
			value: reviewWords.report.planKeptOf(
				share(kept.sessions),
				share(kept.sets),
				share(kept.repetitions),
				formatDay(kept.from),
				formatDay(kept.to),
			),
		});
	}
	if (pain.verdict !== null) {
		facts.push({ name: reviewWords.progress.pain, value: reviewWords.progress.painVerdict[pain.verdict] });
	}
	const starts = startsOf(progress);
	for (const entry of symmetry) {
		facts.push({
			name: `${entry.exerciseName}, ${measureKindWords[entry.kind].toLowerCase()}`,
			value: `${symmetryWords(entry.index, entry.error)}; ${symmetrySides(entry, starts)}`,
		});
	}
	return facts;
}

function comparabilityLines({ sincePrevious, sets }: SessionReview): readonly string[] {
	if (sets.length === 0) return [];
	if (sincePrevious === null) return [reviewWords.review.sinceFirst];
	const day = formatDay(sincePrevious.startedAt);
	if (sincePrevious.unsafe.length === 0) return [reviewWords.review.sinceSafe(day)];
	return [
		reviewWords.review.sinceUnsafe(
			day,
			sincePrevious.unsafe.map((reason) => unsafeWords(reason).what).join(", "),
		),
		...sincePrevious.unsafe.map((reason) => unsafeWords(reason).why),
	];
}

function noteParts({ soap, session }: SessionReview): ReportModel["notes"] {
	const parts = (["subjective", "objective", "assessment", "plan"] as const).map((part) => ({
		heading: reviewWords.soap[part] as string,
		text: soap?.[part] ?? "",
	}));
	return [...parts, { heading: reviewWords.report.remarks, text: session.notes }]
		.filter(({ text }) => text.trim() !== "")
		.map(({ heading, text }) => ({ heading, paragraphs: paragraphsOf(text) }));
}

/** Lines of a text, with those that would fill a page cut between words. */
export function paragraphsOf(text: string): readonly string[] {
	return text
		.split(/\n/)
		.filter((line) => line.trim() !== "")
		.flatMap((line) => {
			const pieces: string[] = [];
			let rest = line;
			while (rest.length > LONGEST_PARAGRAPH) {
				const space = rest.lastIndexOf(" ", LONGEST_PARAGRAPH);
				const end = space > LONGEST_PARAGRAPH / 2 ? space : LONGEST_PARAGRAPH;
				pieces.push(rest.slice(0, end));
				rest = rest.slice(end).trimStart();
			}
			return [...pieces, rest];
		});
}
