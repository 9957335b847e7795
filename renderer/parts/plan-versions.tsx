import { type Plan, type PlanVersion, versionOn } from "../../core/exercise/plan.ts";
import { doseWords, planWords, scheduleWords } from "../text/plan-words.ts";
import { formatDay, today } from "../text/quantity.ts";

/** Every version the plan ever had, newest first. */
export function PlanVersions({
	plan,
	onStartFrom,
}: {
	readonly plan: Plan | null;
	readonly onStartFrom: (version: PlanVersion) => void;
}) {
	const inForce = plan === null ? null : versionOn(plan, today());
	const versions = [...(plan?.versions ?? [])].reverse();
	return (
		<section class="panel form-section" aria-label={planWords.versions}>
			<h2>{planWords.versions}</h2>
			{versions.length === 0 && <p class="lead">{planWords.noVersions}</p>}
			<ol class="versions">
				{versions.map((version) => (
					<li key={version.version}>
						<details class="more">
							<summary>
								{planWords.version(version.version)}
								<span class="fact-note">{planWords.since(formatDay(version.from))}</span>
								{version === inForce && <span class="tag tag-after">{planWords.inForce}</span>}
							</summary>
							<ul class="bullets">
								{version.items.map(({ exercise, dose, side }) => (
									<li key={exercise.id + side}>
										{exercise.name}, {planWords.sides[side].toLowerCase()}: {doseWords(exercise.kind, dose)}
									</li>
								))}
							</ul>
							<p class="panel-sub">{scheduleWords(version.schedule)}</p>
							<button type="button" class="button button-small" onClick={() => onStartFrom(version)}>
								{planWords.startFrom}
							</button>
						</details>
						<p class="panel-sub">{version.reason === "" ? planWords.noReason : version.reason}</p>
					</li>
				))}
			</ol>
		</section>
	);
}
