/** The first step of a board profile: lines that the board printed. */
import { useId, useState } from "preact/hooks";
import { type ProfileDraft, withSample } from "../profile-draft.ts";
import { profileWords as text } from "../text/profile-words.ts";
import { CaptureProgress } from "./capture-progress.tsx";
import { TextField } from "./field.tsx";
import { FileButton } from "./file-button.tsx";
import { Icon } from "./icon.tsx";
import { FaultNote } from "./notes.tsx";
import { type LoadedPorts, PortField } from "./port-field.tsx";
import { bytesOfBinaryText } from "./read-file.ts";
import { useCapture } from "./use-capture.ts";

/** Characters of a sample: hundreds of frames, and no page stands still over them. */
export const mostSample = 256 * 1024;

export interface PortChoice {
	readonly ports: LoadedPorts;
	readonly portId: string | null;
	readonly onChoose: (portId: string | null) => void;
	readonly onRefresh: () => void;
}

/** Characters that are guessed at every letter; longer samples when the field is left. */
const mostTyped = 16 * 1024;

interface Said {
	readonly text: string;
	readonly isWrong: boolean;
}

export function ProfileLines({
	draft,
	baudRate,
	baudError,
	port,
	onChange,
}: {
	readonly draft: ProfileDraft;
	/** Null while what was entered is none. */
	readonly baudRate: number | null;
	readonly baudError: string | null;
	readonly port: PortChoice;
	readonly onChange: (draft: ProfileDraft, key?: string) => void;
}) {
	const id = useId();
	const [said, setSaid] = useState<Said | null>(null);
	const capture = useCapture();
	const { isBusy, fault } = capture.action;

	function take(sample: string, isWhole: boolean): void {
		const kept = cutAtLine(sample.slice(0, mostSample), isWhole && sample.length <= mostSample);
		setSaid(
			kept.length < sample.length || !isWhole ? { text: text.cutOff(mostSample), isWrong: false } : null,
		);
		onChange(withSample(draft, kept));
	}

	async function open(file: File): Promise<void> {
		let sample: string;
		try {
			sample = await file.slice(0, mostSample).text();
		} catch {
			// The browser tells no more than that: the file was moved, or may not be read.
			setSaid({ text: text.fileFailed(file.name), isWrong: true });
			return;
		}
		if (sample.includes("\0") || !sample.includes("\n")) setSaid({ text: text.notText, isWrong: true });
		else take(sample, file.size <= mostSample);
	}

	async function listen(portId: string, baud: number): Promise<void> {
		setSaid(null);
		const heard = await capture.run(portId, baud);
		if (heard === null) return;
		take(new TextDecoder().decode(bytesOfBinaryText(heard)), true);
		setSaid({ text: text.captured(heard.length), isWrong: false });
	}

	return (
		<>
			<div class="field">
				<label class="field-label" for={id}>
					{text.sample}
				</label>
				<textarea
					id={id}
					class="input profile-sample"
					rows={7}
					wrap="off"
					spellcheck={false}
					maxLength={mostSample}
					aria-describedby={`${id}-hint`}
					value={draft.sample}
					onPaste={(event) => {
						// A paste over all of it, and one that is too long, are taken here; others are the browser's.
						const pasted = event.clipboardData?.getData("text/plain") ?? "";
						const { selectionStart, selectionEnd, value } = event.currentTarget;
						const isAll = selectionEnd - selectionStart >= value.length;
						if (!isAll && value.length + pasted.length <= mostSample) return;
						event.preventDefault();
						take(isAll ? pasted : value.slice(0, selectionStart) + pasted + value.slice(selectionEnd), true);
					}}
					onInput={(event) => {
						const { value } = event.currentTarget;
						setSaid(null);
						onChange(
							value.length > mostTyped ? { ...draft, sample: value } : withSample(draft, value),
							"sample",
						);
					}}
					onChange={(event) => {
						const { value } = event.currentTarget;
						if (value.length > mostTyped) onChange(withSample(draft, value), "sample");
					}}
				/>
				<p class="field-hint" id={`${id}-hint`}>
					{text.sampleHint}
				</p>
			</div>
			<div class="profile-sources">
				<FileButton
					text={text.openLog}
					accept=".txt,.log,.csv,.tsv,text/*"
					isBusy={isBusy}
					onFile={(file) => void open(file)}
				/>
				<PortField {...port} />
				<TextField
					label={text.baud}
					isNumber
					value={draft.baudRate}
					error={baudError}
					onInput={(value) => onChange({ ...draft, baudRate: value }, "baudRate")}
				/>
				{isBusy ? (
					<CaptureProgress label={text.capture} elapsed={capture.elapsed} onCancel={capture.action.cancel} />
				) : (
					<button
						type="button"
						class="button"
						disabled={port.portId === null || baudRate === null}
						onClick={() => {
							if (port.portId !== null && baudRate !== null) void listen(port.portId, baudRate);
						}}
					>
						{text.capture}
					</button>
				)}
			</div>
			{fault !== null && <FaultNote fault={fault} onDismiss={capture.action.clearFault} />}
			{said !== null && (
				<p class={said.isWrong ? "note note-fault" : "note"} role={said.isWrong ? "alert" : "status"}>
					<Icon name={said.isWrong ? "caution" : "info"} />
					<span>{said.text}</span>
				</p>
			)}
		</>
	);
}

/** What is cut off ends with a whole line, lest half a line be taken for a wrong one. */
function cutAtLine(sample: string, isWhole: boolean): string {
	const feed = sample.lastIndexOf("\n");
	return isWhole || feed < 0 ? sample : sample.slice(0, feed + 1);
}
