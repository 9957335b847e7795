import { useState } from "preact/hooks";
import type { PersonRecord as Whole } from "../../app/contract.ts";
import { hashOf } from "../route.ts";
import { personWords, removedWords } from "../text/people-words.ts";
import { download } from "./download.ts";
import { TextField } from "./field.tsx";
import { Modal } from "./modal.tsx";
import { FaultNote, LoadingNote } from "./notes.tsx";
import { useAction, useLoaded } from "./use-request.ts";

/** Export, archive, and delete for good. */
export function PersonRecord({
	record,
	onChanged,
}: {
	readonly record: Whole;
	readonly onChanged: () => void;
}) {
	const { person, goals, archived } = record;
	const [isDeleting, setDeleting] = useState(false);
	const [exported, setExported] = useState<string | null>(null);
	const load = useAction("exportPerson");
	const save = useAction("savePersonDetails");
	const fault = load.fault ?? save.fault;

	async function exportRecord(): Promise<void> {
		setExported(null);
		const outcome = await load.run({ personId: person.id });
		if (!outcome.ok) return;
		download(outcome.value);
		setExported(outcome.value.fileName);
	}

	return (
		<section class="panel form-section" aria-label={personWords.record}>
			<h2>{personWords.record}</h2>
			<p class="lead">{personWords.recordText}</p>
			<div class="button-row">
				<button type="button" class="button" disabled={load.isBusy} onClick={() => void exportRecord()}>
					{load.isBusy ? personWords.exporting : personWords.export}
				</button>
				<button
					type="button"
					class="button"
					title={personWords.archiveText}
					disabled={save.isBusy}
					onClick={async () => {
						const outcome = await save.run({ personId: person.id, goals, archived: !archived });
						if (outcome.ok) onChanged();
					}}
				>
					{archived ? personWords.unarchive : personWords.archive}
				</button>
				<button type="button" class="button button-quiet" onClick={() => setDeleting(true)}>
					{personWords.delete}
				</button>
			</div>
			<p class="field-hint" role="status">
				{exported === null ? "" : personWords.exported(exported)}
			</p>
			{fault !== null && <FaultNote fault={fault} />}
			{isDeleting && (
				<DeleteDialog personId={person.id} code={person.code} onClose={() => setDeleting(false)} />
			)}
		</section>
	);
}

function DeleteDialog({
	personId,
	code,
	onClose,
}: {
	readonly personId: number;
	readonly code: string;
	readonly onClose: () => void;
}) {
	const [typed, setTyped] = useState("");
	const counts = useLoaded("countPersonRecords", { personId }, `counts ${personId}`);
	const remove = useAction("deletePerson");

	async function run(): Promise<void> {
		const outcome = await remove.run({ personId, code: typed.trim() });
		if (outcome.ok) location.hash = hashOf({ screen: "people" });
	}

	const removed = counts.state === "ready" ? removedWords(counts.value) : [];
	return (
		<Modal title={personWords.deleteTitle} isSmall onClose={onClose}>
			<form
				onSubmit={(event) => {
					event.preventDefault();
					if (typed.trim() === code) void run();
				}}
			>
				<div class="modal-body delete-body">
					<p>{personWords.deleteLead}</p>
					{counts.state === "loading" && <LoadingNote text={personWords.loading} />}
					{counts.state === "failed" && <FaultNote fault={counts.fault} />}
					{counts.state === "ready" && (
						<ul class="bullets">
							{removed.length === 0 ? (
								<li>{personWords.deleteNone}</li>
							) : (
								removed.map((line) => <li key={line}>{line}</li>)
							)}
						</ul>
					)}
					{counts.state === "ready" && counts.value.keptCopies.length > 0 && (
						<p>{personWords.deleteCopies(counts.value.keptCopies.join(", "))}</p>
					)}
					<p>{personWords.deleteExport}</p>
					<TextField label={personWords.deleteCode(code)} value={typed} onInput={setTyped} />
					{remove.fault !== null && <FaultNote fault={remove.fault} />}
				</div>
				<div class="modal-foot">
					<button
						type="submit"
						class="button"
						disabled={typed.trim() !== code || remove.isBusy || counts.state !== "ready"}
					>
						{personWords.deleteYes}
					</button>
					<button type="button" class="button button-quiet" onClick={onClose}>
						{personWords.keep}
					</button>
				</div>
			</form>
		</Modal>
	);
}
