/** A plan done in one sitting, at the clinic and at home alike: band, pain, one exercise after the other, the end. */
import { useEffect, useState } from "preact/hooks";
import type { ExerciseState, Today } from "../../app/contract.ts";
import type { Ease } from "../../core/exercise/next-morning.ts";
import type { PlanVersion } from "../../core/exercise/plan.ts";
import { type NextStep, nextStepBefore } from "../../core/exercise/stop-rules.ts";
import { nextIndex, type Stage, stageBefore, withEnded } from "../sitting.ts";
import { coachWords } from "../text/coach-words.ts";
import { homeWords } from "../text/home-words.ts";
import { Advice } from "./advice.tsx";
import { BandGuide } from "./band-guide.tsx";
import { CheckOffer } from "./check-offer.tsx";
import { Coach } from "./coach.tsx";
import { ExerciseIntro } from "./exercise-intro.tsx";
import { MainButton } from "./main-button.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { PainCheckIn } from "./pain-check-in.tsx";
import { ReferenceRenewal } from "./reference-renewal.tsx";
import { SimulatedTag } from "./simulated-tag.tsx";
import { useAction } from "./use-request.ts";
import { useStartAtRest } from "./use-start-at-rest.ts";

export interface SittingProps {
	readonly personId: number;
	readonly today: Today;
	/** Told before, of the morning after the last sitting; null where it was not. */
	readonly nextMorning?: number | null;
	readonly version: PlanVersion;
	/** Which time of the day this is: 1 for the first. */
	readonly round: number;
	/** Where to begin. */
	readonly first: number;
	/** At home: exercises start, and the end closes, by themselves after a while for reading, and too much pain begins
	 *  nothing. */
	readonly isAlone: boolean;
	/** The sitting is over and closed. */
	readonly onLeave: () => void;
}

export function Sitting(props: SittingProps) {
	const { personId, today, version, round, first, nextMorning: toldBefore = null } = props;
	const { exercise, setup, checkIn } = useAppState();
	const own = exercise !== null && exercise.personId === personId ? exercise : null;
	const [stage, setStage] = useState<Stage>(() =>
		own === null ? { at: "band", index: first } : coachAt(own),
	);
	// A page that was reloaded in the middle of a sitting does not ask again.
	const told = checkIn !== null && checkIn.personId === personId ? checkIn : null;
	const [painBefore, setPainBefore] = useState<number | null>(told?.painBefore ?? null);
	const [isPainAsked, setPainAsked] = useState(told !== null);
	const tell = useAction("tellPain");
	const [latestStep, setLatestStep] = useState<NextStep | null>(null);
	const [setsDone, setSetsDone] = useState(today.setsDone);
	const start = useStartAtRest("startExercise", ({ itemIndex }) =>
		setStage({ at: "coach", index: itemIndex }),
	);
	const leave = useAction("leaveExercise");
	const worn = setup.person?.id === personId ? setup.limb.side : null;

	function goTo(index: number | null): void {
		if (index === null) setStage({ at: "finished" });
		else setStage(stageBefore(version, index, worn, isPainAsked));
	}

	const isOver = own !== null && own.view.phase === "done";
	useEffect(() => {
		if (!isOver || own === null) return;
		setLatestStep(own.nextStep);
		const { action } = own.nextStep ?? { action: "go-on" };
		// somebody who is alone begins nothing again that pain has ended, also where the plan names it twice
		const isEnded = props.isAlone && action === "stop-exercise";
		const done = isEnded ? withEnded(setsDone, version, own.itemIndex) : setsDone;
		setSetsDone(done);
		const next = nextIndex(version, done, round, own.itemIndex + 1);
		if (action === "stop-session" || action === "get-help") setStage({ at: "finished" });
		else if (own.view.cue === "stopped") setStage({ at: "stopped", next });
		else goTo(next);
	}, [isOver]);
	// Closed at once, so that the recording ends with the work, whatever the person does then.
	useEffect(() => {
		if (stage.at === "finished" && (own !== null || isPainAsked)) void leave.run(null);
	}, [stage.at]);

	function begin(index: number): void {
		start.start({ personId, planVersion: version.version, itemIndex: index, painBefore });
	}

	if (stage.at === "coach" && own !== null) return <Coach key={own.itemIndex} exercise={own} />;
	return (
		<div class="sitting">
			<header class="sitting-head">
				<SimulatedTag />
				{stage.at !== "finished" && (
					<button
						type="button"
						class="button button-quiet"
						onClick={async () => {
							const outcome = await leave.run(null);
							if (outcome.ok) props.onLeave();
						}}
					>
						{coachWords.leave}
					</button>
				)}
			</header>
			{!props.isAlone && stage.at !== "finished" && <CheckOffer />}
			{tell.fault !== null && <FaultNote fault={tell.fault} />}
			{stage.at === "intro" && told?.advice.step === "less-today" && (
				<p class="note note-caution" role="status">
					{homeWords.pain.lessToday}
					{told.advice.tellTherapist && ` ${homeWords.pain.tellTherapist}`}
				</p>
			)}
			{stage.at === "intro" && !props.isAlone && (
				<ReferenceRenewal personId={personId} item={version.items[stage.index]!} />
			)}
			{leave.fault !== null && <FaultNote fault={leave.fault} onDismiss={props.onLeave} />}
			<StageView
				{...props}
				stage={stage.at === "coach" ? { at: "intro", index: stage.index } : stage}
				step={latestStep}
				ease={told?.advice.step === "less-today" ? told.advice.ease : null}
				isBusy={start.isWaiting}
				restSeconds={start.secondsLeft}
				fault={start.fault}
				isMove={worn !== null && latestStep !== null}
				onBandOn={(index) => setStage({ at: isPainAsked ? "intro" : "pain", index })}
				onPain={(pain, nextMorning, index) => {
					void tell.run({ personId, now: pain, nextMorning: nextMorning ?? toldBefore });
					setPainBefore(pain);
					setPainAsked(true);
					const step = nextStepBefore(pain);
					// at the clinic somebody who knows decides
					if (props.isAlone && step.action !== "go-on") {
						setLatestStep(step);
						setStage({ at: "finished" });
					} else setStage({ at: "intro", index });
				}}
				onBegin={begin}
				onBandAgain={(index) => {
					start.clearFault();
					setStage({ at: "band", index });
				}}
				onGoOn={goTo}
			/>
		</div>
	);
}

interface StageProps extends SittingProps {
	readonly stage: Exclude<Stage, { at: "coach" }>;
	readonly step: NextStep | null;
	/** Of the day, for the morning after the last sitting. */
	readonly ease: Ease | null;
	readonly isBusy: boolean;
	readonly restSeconds: number | null;
	readonly fault: Parameters<typeof ExerciseIntro>[0]["fault"];
	/** Whether the band comes from the other leg. */
	readonly isMove: boolean;
	readonly onBandOn: (index: number) => void;
	readonly onPain: (pain: number, nextMorning: number | null, index: number) => void;
	readonly onBegin: (index: number) => void;
	readonly onBandAgain: (index: number) => void;
	readonly onGoOn: (index: number | null) => void;
}

function StageView(props: StageProps) {
	const { stage, version, personId, step } = props;
	switch (stage.at) {
		case "band":
			return (
				<BandGuide
					personId={personId}
					side={version.items[stage.index]!.side}
					isMove={props.isMove}
					onReady={() => props.onBandOn(stage.index)}
				/>
			);
		case "pain":
			return (
				<div class="questions">
					<PainCheckIn
						asksNextMorning={props.today.asksNextMorning}
						onAnswer={(pain, nextMorning) => props.onPain(pain, nextMorning, stage.index)}
					/>
				</div>
			);
		case "intro":
			return (
				<ExerciseIntro
					key={stage.index}
					item={version.items[stage.index]!}
					ease={props.ease}
					place={stage.index + 1}
					of={version.items.length}
					startsItself={props.isAlone}
					isBusy={props.isBusy}
					restSeconds={props.restSeconds}
					fault={props.fault}
					onStart={() => props.onBegin(stage.index)}
					onBandAgain={() => props.onBandAgain(stage.index)}
				/>
			);
		case "stopped": {
			const { next } = stage;
			return (
				<section class="closing">
					{step?.action === "stop-exercise" ? (
						<Advice step={step} />
					) : (
						<>
							<h2 class="guide-title">{coachWords.stopped}</h2>
							<p class="closing-text">{coachWords.stoppedText}</p>
						</>
					)}
					<div class="button-row question-row">
						{next !== null && <MainButton text={coachWords.goOn} onPress={() => props.onGoOn(next)} />}
						{next === null ? (
							<MainButton text={coachWords.enough} onPress={() => props.onGoOn(null)} />
						) : (
							<button type="button" class="button coach-button" onClick={() => props.onGoOn(null)}>
								{coachWords.enough}
							</button>
						)}
					</div>
				</section>
			);
		}
		case "finished":
			return <Finished step={step} isAlone={props.isAlone} onLeave={props.onLeave} />;
	}
}

/** Time to read the end, s (our own choice). */
const CLOSING_SECONDS = 30;

function Finished({
	step,
	isAlone,
	onLeave,
}: {
	readonly step: NextStep | null;
	readonly isAlone: boolean;
	readonly onLeave: () => void;
}) {
	const isEnded = step?.action === "stop-session" || step?.action === "get-help";
	// advice that matters stays until somebody has read it
	const closes = isAlone && !isEnded && step?.action !== "stop-exercise";
	useEffect(() => {
		if (!closes) return;
		const timer = setTimeout(onLeave, CLOSING_SECONDS * 1000);
		return () => clearTimeout(timer);
	}, [closes]);
	const asksTomorrow = step !== null && step.action !== "get-help" && step.askTomorrow;
	return (
		<section class="closing">
			{!isEnded && (
				<>
					<h2 class="guide-title">{homeWords.finished.title}</h2>
					<p class="closing-text">{homeWords.finished.text}</p>
				</>
			)}
			<Advice step={isEnded || step?.action === "stop-exercise" ? step : null} />
			{asksTomorrow && <p class="closing-text">{homeWords.finished.tomorrow}</p>}
			{step?.action !== "get-help" && <p class="closing-text">{homeWords.finished.takeOff}</p>}
			<div class="button-row question-row">
				<MainButton text={homeWords.finished.close} onPress={onLeave} />
			</div>
			{closes && <p class="guide-note">{homeWords.finished.closes}</p>}
		</section>
	);
}

function coachAt({ itemIndex }: ExerciseState): Stage {
	return { at: "coach", index: itemIndex };
}
