import { useCallback, useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { SessionReview, Trends } from "../../app/contract.ts";
import type { SetSpan } from "../draw/set-spans.ts";
import { ExerciseReview, SameScaleNote } from "../parts/exercise-review.tsx";
import { FactList } from "../parts/fact-list.tsx";
import { Icon } from "../parts/icon.tsx";
import { useModel, useSubscription } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PicturePanel } from "../parts/picture-panel.tsx";
import { ReplayControls } from "../parts/replay-controls.tsx";
import { ReplayTrends } from "../parts/replay-trends.tsx";
import { SoapNotes } from "../parts/soap-notes.tsx";
import { SafeNote, UnsafeNote } from "../parts/unsafe-note.tsx";
import { useAveragePictures } from "../parts/use-average-pictures.ts";
import { useReplay } from "../parts/use-replay.ts";
import { useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { strongestMoment } from "../strongest-moment.ts";
import { unsafeList, unsafeWords } from "../text/comparison.ts";
import { howMeasured, qualityFacts } from "../text/how-measured.ts";
import { setsByExercise } from "../text/objective.ts";
import { formatClock, formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { SessionTags, titleOf } from "./sessions-screen.tsx";

/** A physiotherapist's page of one session: what was done, how it looked, how it was measured, and the notes. */
export function ReviewScreen({ sessionId }: { readonly sessionId: number }) {
	const [revision, setRevision] = useState(0);
	const loaded = useLoaded("getSessionReview", { sessionId }, `review ${sessionId} ${revision}`);
	const { replay, fault } = useReplay(sessionId);
	const { bridge, feed } = useModel();
	useSubscription(feed.onGeometry);
	const sets = loaded.state === "ready" ? loaded.value.sets : none;
	const pictures = useAveragePictures(sets);
	const spans = useMemo(() => spansOf(sets), [sets]);
	const groups = useMemo(() => setsByExercise(sets), [sets]);

	// The first thing to see is a muscle at work, not the noise of rest.
	const [strongest, setStrongest] = useState<number | null>(null);
	const takeTrends = useCallback((trends: Trends) => setStrongest(strongestMoment(trends)), []);
	const opening = loaded.state !== "ready" ? null : (firstWork(sets) ?? strongest);
	const isOpen = replay !== null;
	const isMoved = useRef(false);
	useEffect(() => {
		if (!isOpen || opening === null || isMoved.current) return;
		isMoved.current = true;
		void bridge.request("controlReplay", { playing: false, speed: null, seekSeconds: opening });
	}, [bridge, isOpen, opening]);

	if (loaded.state !== "ready") {
		return (
			<>
				<h1 class="visually-hidden">{reviewWords.review.title}</h1>
				{loaded.state === "failed" ? (
					<div class="empty">
						<FaultNote fault={loaded.fault} />
						<a class="button" href={hashOf({ screen: "sessions" })}>
							{reviewWords.review.toSessions}
						</a>
					</div>
				) : (
					<LoadingNote text={reviewWords.review.loading} />
				)}
			</>
		);
	}
	const review = loaded.value;

	function goTo(seconds: number): void {
		void bridge.request("controlReplay", { playing: false, speed: null, seekSeconds: Math.max(0, seconds) });
		window.scrollTo({ top: 0 });
	}

	return (
		<>
			<ReviewHead review={review} />
			<Since review={review} />
			{fault !== null && <FaultNote fault={fault} />}
			{review.session.frameCount > 0 && replay !== null && (
				<>
					<div class="live replay review-top">
						<PicturePanel isSimulated={review.session.simulated} />
						<div class="live-side">
							<ReplayTrends replay={replay} spans={spans} onTrends={takeTrends} />
						</div>
					</div>
					<ReplayControls replay={replay} />
				</>
			)}
			{review.session.frameCount > 0 && replay === null && fault === null && (
				<div class="panel review-waiting">
					<LoadingNote text={reviewWords.review.loading} />
				</div>
			)}
			{sets.length === 0 ? (
				<div class="panel">
					<EmptyNote title={reviewWords.review.noSetsTitle} text={reviewWords.review.noSetsText} />
				</div>
			) : (
				<>
					<div class="exercise-list">
						{groups.map((group) => (
							<ExerciseReview
								key={group.key}
								group={group}
								review={review}
								pictures={pictures}
								onGoTo={goTo}
								onCorrected={() => setRevision((before) => before + 1)}
							/>
						))}
					</div>
					<SameScaleNote />
				</>
			)}
			<SoapNotes key={review.session.id} review={review} />
			<div class="review-facts">
				<section class="panel form-section" aria-label={reviewWords.review.measured}>
					<h2>{reviewWords.review.measured}</h2>
					<FactList facts={howMeasured(review)} />
				</section>
				<section class="panel form-section" aria-label={reviewWords.review.quality}>
					<h2>{reviewWords.review.quality}</h2>
					<FactList facts={qualityFacts(review)} />
					<h2>{reviewWords.review.marks}</h2>
					{review.marks.length === 0 ? (
						<p class="lead">{reviewWords.review.noMarks}</p>
					) : (
						<ol class="mark-list">
							{review.marks.map((mark) => (
								<li key={`${mark.seconds} ${mark.label}`}>
									<button type="button" class="mark" onClick={() => goTo(mark.seconds)}>
										<span class="figures">{formatClock(mark.seconds)}</span>
										{mark.label}
									</button>
								</li>
							))}
						</ol>
					)}
				</section>
			</div>
		</>
	);
}

const none: SessionReview["sets"] = [];

function ReviewHead({ review }: { readonly review: SessionReview }) {
	const { session, sincePrevious } = review;
	return (
		<header class="replay-head">
			<a class="button button-quiet" href={hashOf({ screen: "sessions" })}>
				<Icon name="left" />
				{reviewWords.review.toSessions}
			</a>
			<div class="replay-title">
				<h1>{titleOf(session)}</h1>
				<p class="panel-sub">
					{formatDateTime(session.startedAt)}
					{session.personCode !== null && session.personId !== null && (
						<>
							{" · "}
							<a href={hashOf({ screen: "person", personId: session.personId })}>{session.personCode}</a>
						</>
					)}{" "}
					· {formatClock(session.durationSeconds)}
				</p>
			</div>
			<SessionTags session={session} />
			<nav class="button-row review-ways" aria-label={reviewWords.review.ways}>
				<a class="button" href={hashOf({ screen: "replay", sessionId: session.id })}>
					{reviewWords.review.toReplay}
				</a>
				<a
					class="button"
					href={hashOf(
						sincePrevious === null
							? { screen: "compare", first: session.id, second: null }
							: { screen: "compare", first: sincePrevious.sessionId, second: session.id },
					)}
				>
					{reviewWords.review.toCompare}
				</a>
				{session.personId !== null && (
					<a class="button" href={hashOf({ screen: "progress", personId: session.personId })}>
						{reviewWords.review.toProgress}
					</a>
				)}
				<a class="button button-primary" href={hashOf({ screen: "report", sessionId: session.id })}>
					{reviewWords.review.toReport}
				</a>
			</nav>
		</header>
	);
}

/** The middle of the first full repetition, s; null without one. */
function firstWork(sets: SessionReview["sets"]): number | null {
	const first = sets.flatMap(({ repetitions }) => repetitions).find(({ kind }) => kind === "full");
	return first === undefined ? null : Math.max(0, (first.onset + first.offset) / 2);
}

function Since({ review }: { readonly review: SessionReview }) {
	const { sincePrevious, sets } = review;
	if (sets.length === 0) return null;
	if (sincePrevious === null) return <SafeNote text={reviewWords.review.sinceFirst} />;
	const date = formatDateTime(sincePrevious.startedAt);
	if (sincePrevious.unsafe.length === 0) return <SafeNote text={reviewWords.review.sinceSafe(date)} />;
	return (
		<UnsafeNote
			title={reviewWords.review.sinceUnsafe(date, unsafeList(sincePrevious.unsafe))}
			marks={sincePrevious.unsafe.map(unsafeWords)}
		/>
	);
}

export function spansOf(sets: SessionReview["sets"]): readonly SetSpan[] {
	return sets.map((set) => ({
		setId: set.id,
		from: set.startSeconds,
		to: set.endSeconds,
		name: reviewWords.review.setName(set.item.exercise.name, set.set),
		shortName: String(set.set),
		repetitions: set.repetitions
			.filter(({ kind }) => kind === "full")
			.map(({ onset, offset }) => [onset, offset] as const),
	}));
}
