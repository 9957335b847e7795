import { useState } from "preact/hooks";
import type { PersonRecord, Today } from "../../app/contract.ts";
import { hasEnded } from "../../core/exercise/plan.ts";
import type { NextStep } from "../../core/exercise/stop-rules.ts";
import { LeftSetQuestions } from "../parts/after-set.tsx";
import { AnsweredLate } from "../parts/answered-late.tsx";
import { useAppState } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { Sitting } from "../parts/sitting.tsx";
import { useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { nextIndex } from "../sitting.ts";
import { coachWords } from "../text/coach-words.ts";
import { personWords } from "../text/people-words.ts";
import { today as dayToday } from "../text/quantity.ts";

/** A person's plan at the clinic. @param personId null for whom an exercise runs, or whom the set-up names */
export function ExerciseScreen({ personId }: { readonly personId: number | null }) {
	const { exercise, setup } = useAppState();
	const chosen = exercise?.personId ?? personId ?? setup.person?.id ?? null;
	if (chosen === null) {
		return (
			<EmptyNote title={coachWords.nobodyTitle} text={coachWords.nobodyText}>
				<a class="button button-primary" href={hashOf({ screen: "people" })}>
					{coachWords.toPeople}
				</a>
			</EmptyNote>
		);
	}
	return <PersonSitting key={chosen} personId={chosen} />;
}

function PersonSitting({ personId }: { readonly personId: number }) {
	const record = useLoaded("getPerson", { personId }, `person ${personId}`);
	const day = dayToday();
	const [visit, setVisit] = useState(0);
	const [step, setStep] = useState<NextStep | null>(null);
	const today = useLoaded("getToday", { personId, day }, `today ${personId} ${day} ${visit}`);
	if (record.state === "failed") return <FaultNote fault={record.fault} />;
	if (today.state === "failed") return <FaultNote fault={today.fault} />;
	if (record.state === "loading" || today.state === "loading") {
		return <LoadingNote text={coachWords.loading} />;
	}
	if (step !== null) return <AnsweredLate step={step} onRead={() => setStep(null)} />;
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
	return <Ready record={record.value} today={today.value} />;
}

function Ready({ record, today }: { readonly record: PersonRecord; readonly today: Today }) {
	const { person, plan } = record;
	const back = hashOf({ screen: "person", personId: person.id });
	// At the clinic the plan is done when somebody wants it, on a day off, too; a plan that begins later as it will be.
	const version =
		today.plan?.version ?? (plan !== null && !hasEnded(plan, dayToday()) ? plan.versions[0]! : null);
	const [round] = useState((today.plan?.timesDone ?? 0) + 1);
	const [first] = useState(() => (version === null ? null : nextIndex(version, today.setsDone, round, 0)));
	if (version === null || first === null) {
		return (
			<EmptyNote title={personWords.noPlan} text={personWords.noPlanText}>
				<a class="button button-primary" href={hashOf({ screen: "plan", personId: person.id })}>
					{personWords.makePlan}
				</a>
			</EmptyNote>
		);
	}
	return (
		<Sitting
			personId={person.id}
			today={today}
			version={version}
			round={round}
			first={first}
			isAlone={false}
			onLeave={() => {
				location.hash = back;
			}}
		/>
	);
}
