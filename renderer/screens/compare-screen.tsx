import { useState } from "preact/hooks";
import type { SessionReview, SessionSummary, SetRecord } from "../../app/contract.ts";
import { Choice } from "../parts/choice.tsx";
import { SetPictureBox } from "../parts/exercise-review.tsx";
import { SelectField } from "../parts/field.tsx";
import { Legend } from "../parts/legend.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { SessionPicker, sessionWords } from "../parts/session-picker.tsx";
import { SetLines, sharedEnds, shownSeconds, spanOfSet } from "../parts/set-lines.tsx";
import { SafeNote, type UnsafeMark, UnsafeNote } from "../parts/unsafe-note.tsx";
import { useAveragePictures } from "../parts/use-average-pictures.ts";
import { useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { verdictWords } from "../text/comparison.ts";
import { formatMeasure, formatShownDifference, formatSpread, measureUnitText } from "../text/measure.ts";
import { type MeasurePair, marksBetween, measurePairs } from "../text/measure-pairs.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";

const MOST_SESSIONS = 200;
const POINTS = 4000;

/** Two sessions, or a left and a right thigh, side by side on the same scales. */
export function CompareScreen({ first, second }: { readonly first: number; readonly second: number | null }) {
	const loaded = useLoaded("getSessionReview", { sessionId: first }, `compare ${first}`);
	return (
		<>
			<header class="screen-head">
				<h1>{reviewWords.compare.title}</h1>
				<a class="button button-quiet" href={hashOf({ screen: "review", sessionId: second ?? first })}>
					{reviewWords.review.toReview}
				</a>
			</header>
			{loaded.state === "failed" && <FaultNote fault={loaded.fault} />}
			{loaded.state === "loading" && <LoadingNote text={reviewWords.compare.loading} />}
			{loaded.state === "ready" && (
				<>
					<Pickers first={loaded.value.session} second={second} />
					{second === null ? (
						<EmptyNote title={reviewWords.compare.secondTitle} text={reviewWords.compare.secondText} />
					) : (
						<WithSecond key={`${first} ${second}`} first={loaded.value} second={second} />
					)}
				</>
			)}
		</>
	);
}

function Pickers({ first, second }: { readonly first: SessionSummary; readonly second: number | null }) {
	const { personId } = first;
	const list = useLoaded(
		"listSessions",
		{ personId, offset: 0, limit: MOST_SESSIONS },
		`compare list ${personId}`,
	);
	const sessions = list.state === "ready" ? list.value.sessions : [first];
	const otherSide = nearestOtherSide(first, sessions);
	const go = (a: number, b: number | null): void => {
		location.hash = hashOf({ screen: "compare", first: a, second: b });
	};
	return (
		<div class="compare-pickers">
			<SessionPicker
				label={reviewWords.compare.first}
				sessions={sessions}
				value={first.id}
				onChoose={(id) => go(id, second)}
			/>
			<SessionPicker
				label={reviewWords.compare.second}
				sessions={sessions}
				value={second}
				onChoose={(id) => go(first.id, id)}
			/>
			<div class="button-row">
				{second !== null && (
					<button type="button" class="button" onClick={() => go(second, first.id)}>
						{reviewWords.compare.swap}
					</button>
				)}
				{otherSide !== null && otherSide.id !== second && (
					<button type="button" class="button" onClick={() => go(first.id, otherSide.id)}>
						{reviewWords.compare.otherSide}
					</button>
				)}
			</div>
			{list.state === "failed" && <FaultNote fault={list.fault} />}
		</div>
	);
}

/** The session of the other thigh that is nearest in time; null where there is none. */
function nearestOtherSide(
	{ side, startedAt }: SessionSummary,
	sessions: readonly SessionSummary[],
): SessionSummary | null {
	if (side === null) return null;
	const at = Date.parse(startedAt);
	const distance = (session: SessionSummary): number => Math.abs(Date.parse(session.startedAt) - at);
	return (
		sessions
			.filter((session) => session.side !== null && session.side !== side)
			.sort((a, b) => distance(a) - distance(b))[0] ?? null
	);
}

function WithSecond({ first, second }: { readonly first: SessionReview; readonly second: number }) {
	const loaded = useLoaded("getSessionReview", { sessionId: second }, `compare ${second}`);
	if (loaded.state === "failed") return <FaultNote fault={loaded.fault} />;
	if (loaded.state === "loading") return <LoadingNote text={reviewWords.compare.loading} />;
	const marks = marksBetween(first, loaded.value);
	const exercises = commonExercises(first, loaded.value);
	return (
		<>
			{marks.length === 0 ? (
				<SafeNote text={reviewWords.compare.safe} />
			) : (
				<UnsafeNote title={reviewWords.compare.unsafeTitle} marks={marks} />
			)}
			{exercises.length === 0 ? (
				<EmptyNote title={reviewWords.compare.noCommonTitle} text={reviewWords.compare.noCommonText} />
			) : (
				<SideBySide first={first} second={loaded.value} exercises={exercises} marks={marks} />
			)}
		</>
	);
}

interface CommonExercise {
	readonly id: string;
	readonly name: string;
}

function commonExercises(first: SessionReview, second: SessionReview): readonly CommonExercise[] {
	const others = new Set(second.sets.map(({ item }) => item.exercise.id));
	const common = new Map(
		first.sets
			.filter(({ item }) => others.has(item.exercise.id))
			.map(({ item }) => [item.exercise.id, { id: item.exercise.id, name: item.exercise.name }]),
	);
	return [...common.values()];
}

function SideBySide({
	first,
	second,
	exercises,
	marks,
}: {
	readonly first: SessionReview;
	readonly second: SessionReview;
	readonly exercises: readonly CommonExercise[];
	readonly marks: readonly UnsafeMark[];
}) {
	const [chosen, setChosen] = useState(exercises[0]!.id);
	const exercise = exercises.find(({ id }) => id === chosen) ?? exercises[0]!;
	return (
		<>
			{exercises.length > 1 && (
				<div class="compare-exercise">
					<SelectField
						label={reviewWords.compare.exercise}
						value={exercise.id}
						options={exercises.map(({ id, name }) => ({ value: id, text: name }))}
						onChoose={setChosen}
					/>
				</div>
			)}
			<Sets key={exercise.id} first={first} second={second} exercise={exercise} />
			<Measures first={first} second={second} exercise={exercise} isSafe={marks.length === 0} />
		</>
	);
}

function Sets({
	first,
	second,
	exercise,
}: {
	readonly first: SessionReview;
	readonly second: SessionReview;
	readonly exercise: CommonExercise;
}) {
	const setsOf = (review: SessionReview): readonly SetRecord[] =>
		review.sets.filter(({ item }) => item.exercise.id === exercise.id);
	const [places, setPlaces] = useState<readonly [number, number]>([0, 0]);
	const [isAligned, setAligned] = useState(true);
	const sides = [
		{ review: first, sets: setsOf(first), place: places[0] },
		{ review: second, sets: setsOf(second), place: places[1] },
	] as const;
	const shown = sides.map(({ sets, place }) => sets[Math.min(place, sets.length - 1)]!);
	const pictures = useAveragePictures(shown);
	const unit = first.measured.pictures[0]?.unit ?? "S/m";
	const isOtherSide =
		first.conditions !== null &&
		second.conditions !== null &&
		first.conditions.side !== second.conditions.side;
	return (
		<section class="panel compare-sets" aria-label={exercise.name}>
			<header class="panel-head">
				<div>
					<h2>{exercise.name}</h2>
					<p class="panel-sub">
						{words.picture.title} · {reviewWords.compare.sameScale}
					</p>
				</div>
				{isOtherSide && (
					<div class="panel-tools">
						<Choice
							label={reviewWords.compare.alignMedial}
							options={[
								{ value: true, text: reviewWords.compare.medialTogether },
								{ value: false, text: reviewWords.compare.asIs },
							]}
							value={isAligned}
							onChoose={setAligned}
						/>
					</div>
				)}
			</header>
			<div class="compare-pictures">
				{sides.map(({ review, sets, place }, i) => (
					<div key={review.session.id} class={`compare-side compare-side-${i}`}>
						<div class="compare-side-head">
							<h3>{sessionWords(review.session)}</h3>
							{review.session.simulated && <span class="tag tag-simulated">{words.sessions.simulated}</span>}
							{sets.length > 1 && (
								<div class="panel-tools">
									<Choice
										label={reviewWords.compare.set}
										options={sets.map((set, k) => ({ value: k, text: reviewWords.review.set(set.set) }))}
										value={Math.min(place, sets.length - 1)}
										onChoose={(next) => setPlaces(i === 0 ? [next, places[1]] : [places[0], next])}
									/>
								</div>
							)}
						</div>
						<SetPictureBox
							set={shown[i]!}
							pictures={pictures}
							unit={unit}
							mirrored={isOtherSide && isAligned && review.conditions?.side === "right"}
						/>
					</div>
				))}
				<div class="compare-legend">
					{pictures.range !== null && <Legend scale="change" range={pictures.range} unit={unit} />}
				</div>
			</div>
			<CompareLines first={first} second={second} shown={shown} unit={unit} />
		</section>
	);
}

function CompareLines({
	first,
	second,
	shown,
	unit,
}: {
	readonly first: SessionReview;
	readonly second: SessionReview;
	readonly shown: readonly SetRecord[];
	readonly unit: "S/m" | "relative";
}) {
	const argument = ({ session, measured }: SessionReview) => ({
		sessionId: session.id,
		bandIndex: measured.pictures[0]?.bandIndex ?? 0,
		points: POINTS,
	});
	const one = useLoaded("getSessionTrends", argument(first), `lines ${first.session.id}`);
	const two = useLoaded("getSessionTrends", argument(second), `lines ${second.session.id}`);
	if (one.state === "failed") return <FaultNote fault={one.fault} />;
	if (two.state === "failed") return <FaultNote fault={two.fault} />;
	if (one.state === "loading" || two.state === "loading") {
		return <LoadingNote text={reviewWords.compare.linesLoading} />;
	}
	const seconds = shownSeconds(shown);
	const parts = [one.value, two.value].map((trends, i) => ({
		trends,
		span: spanOfSet(shown[i]!, seconds),
		start: shown[i]!.startSeconds,
	}));
	const ends = sharedEnds(parts);
	return (
		<>
			<p class="field-hint compare-lines-words">{reviewWords.compare.lines}</p>
			<div class="compare-lines">
				{parts.map(({ trends, span, start }, i) => (
					<SetLines key={shown[i]!.id} trends={trends} span={span} ends={ends} unit={unit} start={start} />
				))}
			</div>
		</>
	);
}

function Measures({
	first,
	second,
	exercise,
	isSafe,
}: {
	readonly first: SessionReview;
	readonly second: SessionReview;
	readonly exercise: CommonExercise;
	readonly isSafe: boolean;
}) {
	const one = first.session.personId;
	const two = second.session.personId;
	if (one === null || two === null) return null;
	return (
		<MeasuresOf
			first={{ review: first, personId: one }}
			second={{ review: second, personId: two }}
			exercise={exercise}
			isSafe={isSafe}
		/>
	);
}

interface Whose {
	readonly review: SessionReview;
	readonly personId: number;
}

function MeasuresOf({
	first,
	second,
	exercise,
	isSafe,
}: {
	readonly first: Whose;
	readonly second: Whose;
	readonly exercise: CommonExercise;
	readonly isSafe: boolean;
}) {
	const one = useLoaded("getProgress", { personId: first.personId }, `measures ${first.personId}`);
	const two = useLoaded("getProgress", { personId: second.personId }, `measures ${second.personId}`);
	if (one.state === "failed") return <FaultNote fault={one.fault} />;
	if (two.state === "failed") return <FaultNote fault={two.fault} />;
	if (one.state === "loading" || two.state === "loading") {
		return <LoadingNote text={reviewWords.progress.loading} />;
	}
	const pairs = measurePairs(
		exercise.id,
		{ sessionId: first.review.session.id, progress: one.value },
		{ sessionId: second.review.session.id, progress: two.value },
		isSafe,
	);
	if (pairs.length === 0) return <p class="lead">{reviewWords.compare.nothing}</p>;
	return (
		<table class="panel session-table compare-table">
			<thead>
				<tr>
					<th scope="col">{reviewWords.compare.row}</th>
					<th scope="col" class="number">
						{formatDateTime(first.review.session.startedAt)}
					</th>
					<th scope="col" class="number">
						{formatDateTime(second.review.session.startedAt)}
					</th>
					<th scope="col" class="number">
						{reviewWords.compare.difference}
					</th>
					<th scope="col">{reviewWords.compare.verdict}</th>
				</tr>
			</thead>
			<tbody>
				{pairs.map((pair) => (
					<tr key={pair.key}>
						<th scope="row">
							{pair.name} <span class="fact-note">{measureUnitText(pair.unit, pair.kind)}</span>
						</th>
						<td class="number figures">{formatMeasure(pair.first, pair.unit)}</td>
						<td class="number figures">{formatMeasure(pair.second, pair.unit)}</td>
						<td class="number figures">
							{pair.difference === null ? "–" : formatShownDifference(pair.first, pair.second, pair.unit)}
						</td>
						<td>{pairVerdict(pair)}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

function pairVerdict({ verdict, minimalDetectableChange, unit }: MeasurePair): string {
	if (verdict === null) return reviewWords.compare.unsafeVerdict;
	if (minimalDetectableChange === null) return reviewWords.compare.noError;
	return `${verdictWords(verdict)} (${reviewWords.compare.expected(formatSpread(minimalDetectableChange, unit))})`;
}
