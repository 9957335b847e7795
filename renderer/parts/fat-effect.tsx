/** What 3 mm of fat more or less than entered would do to each muscle's value. */
import type { RequestArgument } from "../../app/contract.ts";
import { fatErrors } from "../fat-errors.ts";
import { formatQuantity } from "../text/quantity.ts";
import { sightWords } from "../text/sight-words.ts";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useStudy } from "./use-study.ts";

/** A layer that is thinner than this much is not computed with less. m */
const WHOLE_ERROR = 0.003;

export function FatEffect({ subject }: { readonly subject: RequestArgument<"studyFat"> | null }) {
	const { baseline } = useAppState();
	const study = useStudy("studyFat", subject, `${baseline?.takenAt}`);
	const errors = study.value === null ? [] : fatErrors(study.value);
	const worst = errors.reduce<(typeof errors)[number] | null>(
		(most, one) => (most === null || Math.abs(one.thicker) > Math.abs(most.thicker) ? one : most),
		null,
	);
	const [thinner = 0, entered = 0] = study.value?.fatThickness ?? [];
	const less = entered - thinner;
	const isCut = WHOLE_ERROR - less > 1e-6;
	return (
		<div class={study.isBusy ? "fat-effect sight-stale" : "fat-effect"}>
			<h3>{sightWords.fat}</h3>
			<p class="sight-progress" role="status">
				{study.isBusy && <progress aria-label={sightWords.fatWorking} />}
				{study.isBusy ? sightWords.fatWorking : ""}
			</p>
			{study.fault !== null && <FaultNote fault={study.fault} />}
			{worst !== null && (
				<>
					<p class="fat-worst">
						{sightWords.fatSentence(
							worst.name,
							formatQuantity(100 * Math.abs(worst.thicker), 0, "%"),
							worst.thicker < 0 ? "lower" : "higher",
						)}
					</p>
					<p class="field-hint">{sightWords.fatLead(formatQuantity(1000 * entered, 1, "mm"))}</p>
					<table class="session-table sight-table">
						<thead>
							<tr>
								<th scope="col">{sightWords.region}</th>
								<th scope="col">
									{isCut
										? sightWords.fatThinnerBy(formatQuantity(1000 * less, 1, "mm"))
										: sightWords.fatThinner}
								</th>
								<th scope="col">{sightWords.fatThicker}</th>
							</tr>
						</thead>
						<tbody>
							{errors.map((error) => (
								<tr key={error.id}>
									<th scope="row">{error.name}</th>
									<td class="figures">{sightWords.reads(error.thinner)}</td>
									<td class="figures">{sightWords.reads(error.thicker)}</td>
								</tr>
							))}
						</tbody>
					</table>
					<p class="field-hint">{sightWords.fatNote}</p>
				</>
			)}
		</div>
	);
}
