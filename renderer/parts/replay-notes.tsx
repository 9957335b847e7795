/** A recording's title and notes, and its export. */
import { useState } from "preact/hooks";
import type { SessionSummary } from "../../app/contract.ts";
import { words } from "../text/words.ts";
import { AreaField, TextField } from "./field.tsx";
import { FaultNote } from "./notes.tsx";
import { useExport } from "./use-export.ts";
import { useAction } from "./use-request.ts";

export function ReplayNotes({ session }: { readonly session: SessionSummary }) {
	const [title, setTitle] = useState(session.title);
	const [notes, setNotes] = useState(session.notes);
	const [saved, setSaved] = useState({ title: session.title, notes: session.notes });
	const [exported, setExported] = useState<string | null>(null);
	const save = useAction("saveSessionNotes");
	const load = useExport();
	const [isSaved, setIsSaved] = useState(false);
	const isChanged = title.trim() !== saved.title || notes !== saved.notes;

	async function exportAs(format: "csv" | "json"): Promise<void> {
		setExported(null);
		setExported(await load.run({ sessionId: session.id, format }));
	}

	function statusWords(): string {
		if (load.share !== null) return words.replay.exporting(load.share);
		if (exported !== null) return words.replay.exported(exported);
		return isSaved && !isChanged ? words.replay.saved : "";
	}

	return (
		<section class="panel form-section replay-notes" aria-label={words.replay.notes}>
			<div class="replay-notes-fields">
				<TextField label={words.replay.titleField} value={title} onInput={setTitle} />
				<AreaField label={words.replay.notes} rows={3} value={notes} onInput={setNotes} />
			</div>
			<div class="button-row">
				<button
					type="button"
					class="button"
					disabled={!isChanged || save.isBusy}
					onClick={async () => {
						const next = { title: title.trim(), notes };
						const outcome = await save.run({ sessionId: session.id, ...next });
						if (!outcome.ok) return;
						setSaved(next);
						setExported(null);
						setIsSaved(true);
					}}
				>
					{words.replay.save}
				</button>
				<button
					type="button"
					class="button"
					disabled={load.share !== null}
					onClick={() => void exportAs("csv")}
				>
					{words.replay.csv}
				</button>
				<button
					type="button"
					class="button"
					disabled={load.share !== null}
					onClick={() => void exportAs("json")}
				>
					{words.replay.json}
				</button>
				<p class="live-words" role="status">
					{statusWords()}
				</p>
			</div>
			{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
			{load.fault !== null && <FaultNote fault={load.fault} onDismiss={load.clearFault} />}
		</section>
	);
}
