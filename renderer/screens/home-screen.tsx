/** A person's own start screen: today's plan, and nothing else. */
import { useState } from "preact/hooks";
import type { AppState, Today } from "../../app/contract.ts";
import type { PlanVersion } from "../../core/exercise/plan.ts";
import type { NextStep } from "../../core/exercise/stop-rules.ts";
import { Advice } from "../parts/advice.tsx";
import { LeftSetQuestions } from "../parts/after-set.tsx";
import { AnswerScale } from "../parts/answer-scale.tsx";
import { AnsweredLate } from "../parts/answered-late.tsx";
import { Icon } from "../parts/icon.tsx";
import { LeaveHome } from "../parts/leave-home.tsx";
import { MainButton } from "../parts/main-button.tsx";
import { useAppState } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { ExercisePictogram } from "../parts/pictogram.tsx";
import { Question } from "../parts/question.tsx";
import { SimulatedTag } from "../parts/simulated-tag.tsx";
import { Sitting } from "../parts/sitting.tsx";
import { useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { doneOrEnded, minutesFor, nextIndex } from "../sitting.ts";
import { homeDose, homeWords, streakWords } from "../text/home-words.ts";
import { longDay } from "../text/plan-words.ts";
import { today as dayToday } from "../text/quantity.ts";

type Home = NonNullable<AppState["home"]>;

/** Shown at its address while home mode is off. */
export function HomeOff() {
	return (
		<EmptyNote title={homeWords.off.title} text={homeWords.off.text}>
			<a class="button button-primary" href={hashOf({ screen: "people" })}>
				{homeWords.off.people}
			</a>
		</EmptyNote>
	);
}

export function HomeScreen({ home }: { readonly home: Home }) {
	const { exercise } = useAppState();
	const [visit, setVisit] = useState(0);
	const day = dayToday();
	const { personId } = home;
	const today = useLoaded("getToday", { personId, day }, `today ${personId} ${day} ${visit}`);
	// A page that was reloaded in the middle of an exercise goes on with it; one that is over may still be closing.
	const [isSitting, setSitting] = useState(exercise !== null && exercise.view.phase !== "done");
	const [nextMorning, setNextMorning] = useState<number | null>(null);
	const [step, setStep] = useState<NextStep | null>(null);
	if (today.state === "failed") return <FaultNote fault={today.fault} />;
	if (today.state === "loading") return <LoadingNote text={homeWords.loading} />;
	// what the day itself says afterwards need not be read twice
	if (step !== null && today.value.over === null) {
		return <AnsweredLate step={step} onRead={() => setStep(null)} />;
	}
	if (today.value.unanswered !== null) {
		return (
			<LeftSetQuestions
				key={today.value.unanswered.setId}
				personId={personId}
				left={today.value.unanswered}
				onAnswered={(next) => {
					setStep(next);
					setVisit(visit + 1);
				}}
			/>
		);
	}
	const { plan } = today.value;
	const setsDone = doneOrEnded(today.value);
	const version = plan?.version ?? null;
	const round = (plan?.timesDone ?? 0) + 1;
	const first = version === null ? null : nextIndex(version, setsDone, round, 0);
	if (isSitting && version !== null && first !== null) {
		return (
			<Sitting
				personId={personId}
				// Asked here, where the answer is the start: on the page of the pain before it would be one choice more.
				today={{ ...today.value, setsDone, asksNextMorning: false }}
				nextMorning={nextMorning}
				version={version}
				round={round}
				first={first}
				isAlone
				onLeave={() => {
					setSitting(false);
					setVisit(visit + 1);
				}}
			/>
		);
	}
	return (
		<div class="home">
			<header class="home-head">
				<p class="home-hello">{homeWords.hello(home.displayName)}</p>
				<SimulatedTag />
				<LeaveHome needsPin={home.needsPin} />
			</header>
			<TodayView
				today={{ ...today.value, setsDone }}
				round={round}
				onStart={(pain) => {
					setNextMorning(pain);
					setSitting(true);
				}}
			/>
		</div>
	);
}

function TodayView({
	today,
	round,
	onStart,
}: {
	readonly today: Today;
	readonly round: number;
	/** @param nextMorning pain on the morning after the last sitting; null where it was not asked or not answered */
	readonly onStart: (nextMorning: number | null) => void;
}) {
	const { plan, over } = today;
	const next = plan?.nextDay == null ? null : longDay(plan.nextDay);
	if (over !== null) {
		return (
			<section class="closing">
				<h1 class={over.action === "get-help" ? "home-title" : "visually-hidden"}>{homeWords.overTitle}</h1>
				<Advice step={over} />
				<p class="closing-text">{homeWords.overText}</p>
			</section>
		);
	}
	if (plan === null || (plan.version === null && plan.nextDay === null)) {
		return <HomeMessage title={homeWords.noPlanTitle} text={homeWords.noPlanText} today={today} />;
	}
	if (!today.cautionsAcknowledged) {
		return <HomeMessage title={homeWords.cautionsTitle} text={homeWords.cautionsText} today={today} />;
	}
	if (plan.timesDue === 0 || plan.version === null) {
		return <HomeMessage title={homeWords.freeTitle} text={homeWords.freeText(next)} today={today} />;
	}
	if (plan.timesLeft === 0) {
		return <HomeMessage title={homeWords.doneTitle} text={homeWords.doneText(next)} today={today} isDone />;
	}
	const { items } = plan.version;
	const isDone = items.map(({ dose }, i) => (today.setsDone[i] ?? 0) >= round * dose.sets);
	const isBegun = today.setsDone.some((sets, i) => sets > (round - 1) * items[i]!.dose.sets);
	const upcoming = items[isDone.indexOf(false)] ?? items[0]!;
	return (
		<section class="home-today" aria-label={homeWords.title}>
			<figure class="panel home-upcoming">
				<ExercisePictogram drawing={upcoming.exercise.drawing} />
				<figcaption>
					<p class="home-upcoming-label">{isBegun ? homeWords.next : homeWords.first}</p>
					<p class="home-upcoming-name">{upcoming.exercise.name}</p>
					<p class="home-card-dose">
						{homeDose(upcoming.exercise.kind, upcoming.dose)} · {homeWords.legs[upcoming.side]}
					</p>
				</figcaption>
			</figure>
			<div class="home-side">
				<div class="home-lead">
					<h1 class="home-title">
						{plan.timesDone > 0 && !isBegun ? homeWords.again : homeWords.due(plan.timesLeft)}
					</h1>
					<p class="home-streak">{streakWords(today)}</p>
				</div>
				<div class="home-go">
					{today.asksNextMorning ? (
						<div class="home-morning">
							<Question title={homeWords.pain.morning}>
								<AnswerScale label={homeWords.pain.morning} steps={morningSteps} onAnswer={onStart} />
								<p class="guide-note">{homeWords.pain.startsWithAnswer}</p>
							</Question>
							<button type="button" class="button button-quiet" onClick={() => onStart(null)}>
								{homeWords.pain.withoutAnswer}
							</button>
						</div>
					) : (
						<MainButton
							text={isBegun ? homeWords.goOn : homeWords.start}
							icon="play"
							isHuge
							onPress={() => onStart(null)}
						/>
					)}
					<p class="guide-note">{homeWords.minutes(minutesFor(plan.version, today.setsDone, round))}</p>
				</div>
				{items.length > 1 && <PlanCards items={items} isDone={isDone} />}
			</div>
		</section>
	);
}

/** In half a page there is no room for the words of each number: the ends stand below. */
const morningSteps = Array.from({ length: 11 }, (_, value) => ({ value, words: null }));

/** A longer list is told by names alone: how much comes with each exercise. */
const MOST_CARDS = 4;

function PlanCards({
	items,
	isDone,
}: {
	readonly items: PlanVersion["items"];
	readonly isDone: readonly boolean[];
}) {
	const isLong = items.length > MOST_CARDS;
	const hasBothLegs = items.some(({ side }) => side !== items[0]!.side);
	return (
		<ol class={isLong ? "home-cards home-cards-long" : "home-cards"} aria-label={homeWords.list}>
			{items.map(({ exercise, dose, side }, i) => (
				<li
					key={`${exercise.id} ${side} ${i}`}
					class={isDone[i] ? "panel home-card home-card-done" : "panel home-card"}
				>
					<ExercisePictogram drawing={exercise.drawing} />
					<div>
						<p class="home-card-name">{exercise.name}</p>
						{!isLong && (
							<p class="home-card-dose">
								{homeDose(exercise.kind, dose)} · {homeWords.legs[side]}
							</p>
						)}
						{isLong && hasBothLegs && <p class="home-card-dose">{homeWords.legs[side]}</p>}
					</div>
					{isDone[i] && (
						<p class="home-card-mark">
							<Icon name="check" />
							{homeWords.doneMark}
						</p>
					)}
				</li>
			))}
		</ol>
	);
}

function HomeMessage({
	title,
	text,
	today,
	isDone = false,
}: {
	readonly title: string;
	readonly text: string;
	readonly today: Today;
	readonly isDone?: boolean;
}) {
	return (
		<section class="closing">
			{isDone && (
				<span class="home-check">
					<Icon name="check" />
				</span>
			)}
			<h1 class="home-title">{title}</h1>
			<p class="closing-text">{text}</p>
			{today.plan !== null && <p class="home-streak">{streakWords(today)}</p>}
		</section>
	);
}
