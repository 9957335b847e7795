import { useState } from "preact/hooks";
import type { PersonRecord as Whole } from "../../app/contract.ts";
import { hasEnded } from "../../core/exercise/plan.ts";
import { EnterHome } from "../parts/enter-home.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState } from "../parts/model-context.ts";
import { FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PersonCautions } from "../parts/person-cautions.tsx";
import { PersonDetails } from "../parts/person-details.tsx";
import { PersonLimbs } from "../parts/person-limbs.tsx";
import { PersonPlan } from "../parts/person-plan.tsx";
import { PersonRecord } from "../parts/person-record.tsx";
import { PersonReferences } from "../parts/person-references.tsx";
import { PersonSessions } from "../parts/person-sessions.tsx";
import { useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { peopleWords, personWords } from "../text/people-words.ts";
import { today } from "../text/quantity.ts";

/** Everything about one person, and what can be done next with them. */
export function PersonScreen({ personId }: { readonly personId: number }) {
	const [version, setVersion] = useState(0);
	const { recording } = useAppState();
	const loaded = useLoaded(
		"getPerson",
		{ personId },
		`person ${personId} ${version} ${recording?.sessionId ?? ""}`,
	);
	return (
		<>
			<p>
				<a class="back-link" href={hashOf({ screen: "people" })}>
					<Icon name="left" />
					{personWords.back}
				</a>
			</p>
			{loaded.state === "loading" && <LoadingNote text={personWords.loading} />}
			{loaded.state === "failed" && <FaultNote fault={loaded.fault} />}
			{loaded.state === "ready" && (
				<PersonPage record={loaded.value} onChanged={() => setVersion(version + 1)} />
			)}
		</>
	);
}

function PersonPage({ record, onChanged }: { readonly record: Whole; readonly onChanged: () => void }) {
	const { person, plan, limbs, references, renewals, sessions } = record;
	const personId = person.id;
	return (
		<>
			<header class="screen-head">
				<div class="person-title">
					<h1>{person.displayName ?? person.code}</h1>
					{person.displayName !== null && <span class="panel-sub">{person.code}</span>}
					{record.archived && <span class="tag">{peopleWords.archived}</span>}
				</div>
				<PersonActions record={record} />
			</header>
			<div class="person">
				<div class="person-main">
					<PersonPlan personId={personId} plan={plan} />
					<PersonReferences
						personId={personId}
						references={references}
						renewals={renewals}
						canTake={limbs.length > 0}
					/>
					<PersonLimbs personId={personId} limbs={limbs} />
				</div>
				<div class="person-side">
					<PersonDetails record={record} onChanged={onChanged} />
					<PersonCautions
						personId={personId}
						acknowledgedAt={record.cautionsAcknowledgedAt}
						onChanged={onChanged}
					/>
					<PersonSessions personId={personId} count={sessions} />
					<PersonRecord record={record} onChanged={onChanged} />
				</div>
			</div>
		</>
	);
}

/** What is missing is said where it would be used. */
function PersonActions({ record }: { readonly record: Whole }) {
	const [isEntering, setEntering] = useState(false);
	const { person, plan, limbs } = record;
	const hasPlan = plan !== null && !hasEnded(plan, today());
	const missing = limbs.length === 0 ? personWords.noLimbHint : hasPlan ? null : personWords.noPlanHint;
	return (
		<div class="person-actions">
			{missing === null ? (
				<div class="button-row">
					<button type="button" class="button" onClick={() => setEntering(true)}>
						<Icon name="lock" />
						{personWords.home}
					</button>
					<a class="button button-primary" href={hashOf({ screen: "exercise", personId: person.id })}>
						<Icon name="play" />
						{personWords.exercise}
					</a>
				</div>
			) : (
				<p class="live-words">{missing}</p>
			)}
			{isEntering && <EnterHome personId={person.id} onClose={() => setEntering(false)} />}
		</div>
	);
}
