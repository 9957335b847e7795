/** Says what the count of a set was; the automatic one stays beside it. */
import { useState } from "preact/hooks";
import type { SetRecord } from "../../app/contract.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { countWords } from "../text/set-measures.ts";
import { words } from "../text/words.ts";
import { Choice } from "./choice.tsx";
import { TextField } from "./field.tsx";
import { Modal } from "./modal.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

const MOST = 1000;

export function CorrectCount({
	set,
	name,
	onDone,
	onClose,
}: {
	readonly set: SetRecord;
	readonly name: string;
	/** The correction is stored. */
	readonly onDone: () => void;
	readonly onClose: () => void;
}) {
	const save = useAction("correctSet");
	const [full, setFull] = useState(String(set.countThatHolds?.full ?? 0));
	const [partial, setPartial] = useState(String(set.countThatHolds?.partial ?? 0));
	const [by, setBy] = useState<"clinician" | "patient">("clinician");
	const [reason, setReason] = useState("");
	const count = { full: readCount(full), partial: readCount(partial) };
	const error = words.errors.whole(0, MOST);
	const { corrections, automatic } = set.count;

	async function keep(): Promise<void> {
		if (count.full === null || count.partial === null) return;
		const correction = { count: { full: count.full, partial: count.partial }, by, reason: reason.trim() };
		const outcome = await save.run({ setId: set.id, correction });
		if (outcome.ok) onDone();
	}

	return (
		<Modal title={reviewWords.correction.title(name)} isSmall onClose={onClose}>
			<form
				class="modal-form"
				onSubmit={(event) => {
					event.preventDefault();
					void keep();
				}}
			>
				<div class="modal-body correct-count">
					<p>
						{reviewWords.correction.text}{" "}
						<strong>{reviewSentence(automatic === null ? null : countWords(automatic))}</strong>
					</p>
					<div class="form-grid form-grid-narrow">
						<TextField
							label={reviewWords.correction.full}
							value={full}
							isNumber
							onInput={setFull}
							error={count.full === null ? error : null}
						/>
						<TextField
							label={reviewWords.correction.partial}
							value={partial}
							isNumber
							onInput={setPartial}
							error={count.partial === null ? error : null}
						/>
					</div>
					<Choice
						label={reviewWords.correction.by}
						isLabelShown
						options={[
							{ value: "clinician", text: reviewWords.correction.byClinician },
							{ value: "patient", text: reviewWords.correction.byPatient },
						]}
						value={by}
						onChoose={setBy}
					/>
					<TextField
						label={reviewWords.correction.reason}
						value={reason}
						onInput={(text) => setReason(text.slice(0, 300))}
					/>
					{corrections.length > 0 && (
						<div>
							<p class="field-label">{reviewWords.correction.history}</p>
							<ol class="correction-list">
								{corrections.map((entry) => (
									<li key={entry.at}>
										{reviewWords.correction.entry(
											countWords(entry.count),
											entry.by,
											formatDateTime(entry.at),
											entry.reason,
										)}
									</li>
								))}
							</ol>
						</div>
					)}
					{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
				</div>
				<div class="modal-foot">
					<button
						type="submit"
						class="button button-primary"
						disabled={save.isBusy || count.full === null || count.partial === null}
					>
						{reviewWords.correction.save}
					</button>
					<button type="button" class="button" onClick={onClose}>
						{reviewWords.correction.cancel}
					</button>
				</div>
			</form>
		</Modal>
	);
}

function reviewSentence(automatic: string | null): string {
	return automatic === null ? reviewWords.correction.notCounted : reviewWords.correction.automatic(automatic);
}

function readCount(text: string): number | null {
	if (!/^\d{1,4}$/.test(text.trim())) return null;
	const value = Number(text);
	return value <= MOST ? value : null;
}
