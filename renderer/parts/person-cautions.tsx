import { useState } from "preact/hooks";
import { cautions } from "../../core/safety/cautions.ts";
import { personWords } from "../text/people-words.ts";
import { formatDay } from "../text/quantity.ts";
import { CautionsText } from "./cautions-dialog.tsx";
import { Icon } from "./icon.tsx";
import { Modal } from "./modal.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** Whether the cautions were gone through with this person; without it no exercise starts. */
export function PersonCautions({
	personId,
	acknowledgedAt,
	onChanged,
}: {
	readonly personId: number;
	readonly acknowledgedAt: string | null;
	readonly onChanged: () => void;
}) {
	const [isOpen, setOpen] = useState(false);
	const acknowledge = useAction("acknowledgeForPerson");

	async function yes(): Promise<void> {
		const outcome = await acknowledge.run({ personId, version: cautions.version });
		if (!outcome.ok) return;
		setOpen(false);
		onChanged();
	}

	return (
		<section class="panel form-section" aria-label={personWords.cautions}>
			<h2>{personWords.cautions}</h2>
			{acknowledgedAt !== null ? (
				<p class="person-fact">
					<Icon name="check" />
					{personWords.cautionsDone(formatDay(acknowledgedAt))}
				</p>
			) : (
				<>
					<p class="person-fact person-open">
						<Icon name="caution" />
						{personWords.cautionsOpen}
					</p>
					<button type="button" class="button" onClick={() => setOpen(true)}>
						{personWords.goThrough}
					</button>
				</>
			)}
			{isOpen && (
				<Modal title={personWords.cautionsTitle} onClose={() => setOpen(false)}>
					<div class="modal-body">
						<CautionsText />
					</div>
					<div class="modal-foot">
						{acknowledge.fault !== null && <FaultNote fault={acknowledge.fault} />}
						<button
							type="button"
							class="button button-primary"
							disabled={acknowledge.isBusy}
							onClick={() => void yes()}
						>
							{personWords.cautionsYes}
						</button>
						<button type="button" class="button button-quiet" onClick={() => setOpen(false)}>
							{personWords.cautionsNo}
						</button>
					</div>
				</Modal>
			)}
		</section>
	);
}
