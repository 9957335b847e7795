/** A recording's title and notes, and its export. */
import { useState } from "preact/hooks";
import type { RequestArgument, SessionSummary } from "../../app/contract.ts";
import { words } from "../text/words.ts";
import { AreaField, TextField } from "./field.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useExport } from "./use-export.ts";
import { useAction } from "./use-request.ts";

interface ExportFormat {
	readonly format: RequestArgument<"exportSession">["format"];
	readonly text: string;
	readonly title?: string;
}

const plainFormats: readonly ExportFormat[] = [
	{ format: "csv", text: words.replay.csv },
	{ format: "json", text: words.replay.json },
];
const volumeFormats: readonly ExportFormat[] = [
	{ format: "volume-csv", text: words.replay.volumeCsv, title: words.replay.volumeHint },
	{ format: "volume-json", text: words.replay.volumeJson, title: words.replay.volumeHint },
];

export function ReplayNotes({ session }: { readonly session: SessionSummary }) {
	const [title, setTitle] = useState(session.title);
	const [notes, setNotes] = useState(session.notes);
	const [saved, setSaved] = useState({ title: session.title, notes: session.notes });
	const [exported, setExported] = useState<string | null>(null);
	const save = useAction("saveSessionNotes");
	const load = useExport();
	const [isSaved, setIsSaved] = useState(false);
	const hasVolume = useAppState().volume.state !== "impossible";
	const formats = hasVolume ? [...plainFormats, ...volumeFormats] : plainFormats;
	const isChanged = title.trim() !== saved.title || notes !== saved.notes;

	async function exportAs(format: RequestArgument<"exportSession">["format"]): Promise<void> {
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
				{formats.map(({ format, text, title }) => (
					<button
						key={format}
						type="button"
						class="button"
						title={title}
						disabled={load.share !== null}
						onClick={() => void exportAs(format)}
					>
						{text}
					</button>
				))}
				{load.share !== null && (
					<button type="button" class="button button-quiet" onClick={load.cancel}>
						{words.replay.cancelExport}
					</button>
				)}
				<p class="live-words" role="status">
					{statusWords()}
				</p>
			</div>
			{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
			{load.fault !== null && <FaultNote fault={load.fault} onDismiss={load.clearFault} />}
		</section>
	);
}
