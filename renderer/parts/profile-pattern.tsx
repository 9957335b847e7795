/** The third step of a board profile: which electrodes each reading is of. */
import { useState } from "preact/hooks";
import type { PairRule } from "../../core/band/patterns.ts";
import { mostReadings } from "../../core/wire/limits.ts";
import { readPatternFile } from "../../core/wire/profile/pattern-file.ts";
import { patternsWith } from "../../core/wire/profile/suggest-profile.ts";
import { type DraftErrors, foundReadings, neededReadings, type ProfileDraft } from "../profile-draft.ts";
import { profileWords as text } from "../text/profile-words.ts";
import { Choice } from "./choice.tsx";
import { SelectField, TextField } from "./field.tsx";
import { FileButton } from "./file-button.tsx";
import { Icon } from "./icon.tsx";

const rules: readonly PairRule[] = [
	"adjacent",
	"opposite",
	"skip-1",
	"skip-2",
	"skip-3",
	"skip-4",
	"skip-5",
	"skip-6",
];
/** Characters: 4096 lines of four electrodes and more. */
const mostPattern = 256 * 1024;
const shownRows = 4;

interface PatternProps {
	readonly draft: ProfileDraft;
	readonly errors: DraftErrors;
	readonly onChange: (draft: ProfileDraft, key?: string) => void;
}

export function ProfilePattern({ draft, errors, onChange }: PatternProps) {
	return (
		<>
			<div class="form-grid">
				<TextField
					label={text.electrodes}
					isNumber
					value={draft.electrodes}
					error={errors.electrodes ?? null}
					onInput={(electrodes) => onChange({ ...draft, electrodes }, "electrodes")}
				/>
				<Choice
					label={text.patternKind}
					isLabelShown
					options={[
						{ value: "named", text: text.patternKinds.named },
						{ value: "listed", text: text.patternKinds.listed },
					]}
					value={draft.pattern}
					onChoose={(pattern) => onChange({ ...draft, pattern })}
				/>
			</div>
			{draft.pattern === "named" ? (
				<NamedPattern draft={draft} onChange={onChange} />
			) : (
				<ListedPattern draft={draft} errors={errors} onChange={onChange} />
			)}
			<Counts draft={draft} onChange={onChange} />
		</>
	);
}

function NamedPattern({ draft, onChange }: Omit<PatternProps, "errors">) {
	const offered = rules.includes(draft.drive) ? rules : [...rules, draft.drive];
	return (
		<div class="form-grid">
			<SelectField
				label={text.terminals}
				value={draft.terminals}
				options={(["four-terminal", "two-terminal"] as const).map((value) => ({
					value,
					text: text.terminalKinds[value],
				}))}
				onChoose={(terminals) => onChange({ ...draft, terminals })}
			/>
			{draft.terminals === "four-terminal" && (
				<SelectField
					label={text.drive}
					value={draft.drive}
					options={offered.map((value) => ({ value, text: text.driveName(value) }))}
					onChoose={(drive) => onChange({ ...draft, drive })}
				/>
			)}
		</div>
	);
}

function ListedPattern({ draft, errors, onChange }: PatternProps) {
	const [fault, setFault] = useState<string | null>(null);

	async function open(file: File): Promise<void> {
		setFault(null);
		let content: string;
		try {
			content = await file.slice(0, mostPattern).text();
		} catch {
			// The browser tells no more than that: the file was moved, or may not be read.
			setFault(text.fileFailed(file.name));
			return;
		}
		const read = readPatternFile(content, Number(draft.electrodes));
		if (!read.ok) {
			setFault(text.patternFault(file.name, read.error));
			return;
		}
		const { rows, countsFrom } = read.value;
		onChange({ ...draft, rows, rowsFrom: { fileName: file.name, countsFrom } });
	}

	const { rows, rowsFrom } = draft;
	const known =
		rowsFrom === null
			? text.patternStored(rows.length)
			: text.patternRead(rowsFrom.fileName, rows.length, rowsFrom.countsFrom);
	return (
		<>
			<div class="button-row">
				<FileButton
					text={text.openPattern}
					accept=".txt,.csv,.tsv,text/*"
					isBusy={errors.electrodes !== undefined}
					onFile={(file) => void open(file)}
				/>
				<p class="field-hint">{text.patternHint}</p>
			</div>
			{fault !== null && (
				<p class="note note-fault" role="alert">
					<Icon name="caution" />
					<span>{fault}</span>
				</p>
			)}
			{rows.length > 0 && (
				<p role="status">
					{known} {text.firstRows}: {rows.slice(0, shownRows).map(text.rowText).join("; ")}
				</p>
			)}
			{errors.rows !== undefined && <p class="field-error">{errors.rows}</p>}
		</>
	);
}

/** What the pattern needs beside what the lines have, and patterns that would fit. */
function Counts({ draft, onChange }: Omit<PatternProps, "errors">) {
	const needed = neededReadings(draft);
	const found = foundReadings(draft);
	if (needed === null) return null;
	if (found === null || found === 0) return <p>{text.needsOnly(needed)}</p>;
	const fits =
		draft.pattern === "named" && found !== needed && found <= mostReadings ? patternsWith(found) : [];
	return (
		<div class={found === needed ? "count-note count-good" : "count-note"} role="status">
			<p>
				<Icon name={found === needed ? "check" : "caution"} /> {text.needs(needed, found)}
			</p>
			{draft.pattern === "named" && found !== needed && fits.length === 0 && <p>{text.noFit(found)}</p>}
			{fits.length > 0 && (
				<div class="button-row">
					<span>{text.fits(found)}</span>
					{fits.map(({ electrodeCount, drive, terminals }) => (
						<button
							key={`${electrodeCount} ${drive} ${terminals}`}
							type="button"
							class="button button-small"
							onClick={() => onChange({ ...draft, electrodes: String(electrodeCount), drive, terminals })}
						>
							{text.patternChoice(electrodeCount, text.driveName(drive), terminals === "two-terminal")}
						</button>
					))}
				</div>
			)}
		</div>
	);
}
