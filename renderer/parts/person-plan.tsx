import type { Plan } from "../../core/exercise/plan.ts";
import { versionOn } from "../../core/exercise/plan.ts";
import { hashOf } from "../route.ts";
import { personWords } from "../text/people-words.ts";
import { doseWords, scheduleWords } from "../text/plan-words.ts";
import { formatDay, today } from "../text/quantity.ts";
import { EmptyNote } from "./notes.tsx";
import { ExercisePictogram } from "./pictogram.tsx";

export function PersonPlan({ personId, plan }: { readonly personId: number; readonly plan: Plan | null }) {
	const edit = hashOf({ screen: "plan", personId });
	const latest = plan?.versions.at(-1) ?? null;
	const version = plan === null ? null : (versionOn(plan, today()) ?? latest);
	return (
		<section class="panel form-section" aria-label={personWords.plan}>
			<div class="panel-line">
				<div>
					<h2>{personWords.plan}</h2>
					{version !== null && (
						<p class="panel-sub">
							{plan?.endedOn != null
								? personWords.planEnded(formatDay(plan.endedOn))
								: `${personWords.planSince(version.version, formatDay(version.from))} · ${scheduleWords(version.schedule)}`}
						</p>
					)}
				</div>
				{version !== null && (
					<a class="button button-small" href={edit}>
						{personWords.changePlan}
					</a>
				)}
			</div>
			{version === null ? (
				<EmptyNote title={personWords.noPlan} text={personWords.noPlanText}>
					<a class="button button-primary" href={edit}>
						{personWords.makePlan}
					</a>
				</EmptyNote>
			) : (
				<ol class="plan-summary">
					{version.items.map(({ exercise, dose, side, note }, i) => (
						<li key={i} class="plan-summary-item">
							<ExercisePictogram drawing={exercise.drawing} />
							<div>
								<p class="plan-summary-name">{exercise.name}</p>
								<p class="panel-sub">
									{personWords.sides[side]} · {doseWords(exercise.kind, dose)}
									{note === "" ? "" : ` · ${note}`}
								</p>
							</div>
						</li>
					))}
				</ol>
			)}
		</section>
	);
}
