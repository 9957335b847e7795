/** Notes in subjective/objective/assessment/plan form. Measured facts come into the objective part on request; the other
 *  parts are the clinician's alone. */
import { useState } from "preact/hooks";
import type { SessionReview } from "../../app/contract.ts";
import { objectiveDraft } from "../text/objective.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { AreaField } from "./field.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

const parts = ["subjective", "objective", "assessment", "plan"] as const;

type SoapText = Record<(typeof parts)[number], string>;

const empty: SoapText = { subjective: "", objective: "", assessment: "", plan: "" };

export function SoapNotes({ review }: { readonly review: SessionReview }) {
	const save = useAction("saveSoap");
	const [saved, setSaved] = useState<SoapText & { readonly savedAt: string | null }>(
		review.soap ?? { ...empty, savedAt: null },
	);
	const [text, setText] = useState<SoapText>(textOf(saved));
	const isChanged = parts.some((part) => text[part] !== saved[part]);

	function change(part: (typeof parts)[number], value: string): void {
		setText((before) => ({ ...before, [part]: value }));
	}

	/** Below what is there already: nothing that somebody wrote is replaced. */
	function fillIn(): void {
		const draft = objectiveDraft(review);
		if (text.objective.includes(draft)) return;
		const before = text.objective.trimEnd();
		change("objective", before === "" ? draft : `${before}\n\n${draft}`);
	}

	return (
		<section class="panel form-section" aria-label={reviewWords.soap.title}>
			<h2>{reviewWords.soap.title}</h2>
			<div class="soap">
				{parts.map((part) => (
					<div key={part} class="soap-part">
						<AreaField
							label={reviewWords.soap[part]}
							hint={reviewWords.soap[`${part}Hint`]}
							rows={part === "objective" ? 8 : 5}
							value={text[part]}
							onInput={(value) => change(part, value)}
						/>
						{part === "objective" && (
							<button type="button" class="button button-small" onClick={fillIn}>
								{reviewWords.soap.fill}
							</button>
						)}
					</div>
				))}
			</div>
			<div class="button-row">
				<button
					type="button"
					class="button button-primary"
					disabled={!isChanged || save.isBusy}
					onClick={async () => {
						const kept = { ...text };
						const outcome = await save.run({ sessionId: review.session.id, ...kept });
						if (outcome.ok) setSaved({ ...kept, savedAt: outcome.value.savedAt });
					}}
				>
					{reviewWords.soap.save}
				</button>
				<p class="live-words" role="status">
					{isChanged
						? reviewWords.soap.unsaved
						: saved.savedAt === null
							? ""
							: reviewWords.soap.saved(formatDateTime(saved.savedAt))}
				</p>
			</div>
			{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
		</section>
	);
}

function textOf({ subjective, objective, assessment, plan }: SoapText): SoapText {
	return { subjective, objective, assessment, plan };
}
