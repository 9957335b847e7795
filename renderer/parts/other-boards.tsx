/** The Connect screen's part for boards that print numbers in their own way. */
import { useState } from "preact/hooks";
import type { AppState, ListedProfile } from "../../app/contract.ts";
import { type BoardProfile, parseProfile } from "../../core/wire/profile/board-profile.ts";
import { freeName } from "../profile-draft.ts";
import { hashOf } from "../route.ts";
import { parseNumber } from "../set-up-form.ts";
import { demoWords } from "../text/demo-words.ts";
import { otherBoardWords as text } from "../text/profile-words.ts";
import { formatFrequency, formatQuantity } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { download } from "./download.ts";
import { TextField } from "./field.tsx";
import { FileButton } from "./file-button.tsx";
import { Icon } from "./icon.tsx";
import { FaultNote, LoadingNote } from "./notes.tsx";
import { PortField } from "./port-field.tsx";
import { readBytesAsText } from "./read-file.ts";
import { useAction, useLoaded } from "./use-request.ts";

const mostProfileBytes = 1024 * 1024;
const mostLogBytes = 64 * 1024 * 1024;

interface Said {
	readonly text: string;
	readonly isWrong: boolean;
	/** Can be brought back. */
	readonly deleted?: BoardProfile;
}

export function OtherBoards({ state }: { readonly state: AppState }) {
	const [version, setVersion] = useState(0);
	const [chosenName, setChosenName] = useState<string | null>(null);
	const [said, setSaid] = useState<Said | null>(null);
	const listed = useLoaded("listProfiles", null, `profiles ${version}`);
	const save = useAction("saveProfile");
	const remove = useAction("deleteProfile");
	const profiles = listed.state === "ready" ? listed.value : [];
	const own = profiles.filter(({ isShipped }) => !isShipped);
	const shipped = profiles.filter(({ isShipped }) => isShipped);
	const chosen = profiles.find(({ profile }) => profile.name === chosenName) ?? own[0] ?? shipped[0] ?? null;

	async function importFile(file: File): Promise<void> {
		setSaid(null);
		const read = await readProfileFile(file);
		if (typeof read === "string") {
			setSaid({ text: read, isWrong: true });
			return;
		}
		const name = freeName(
			read.name,
			profiles.map(({ profile }) => profile.name),
		);
		const outcome = await save.run({ profile: { ...read, name } });
		if (!outcome.ok) return;
		setChosenName(name);
		setVersion(version + 1);
		setSaid({ text: name === read.name ? text.imported(name) : text.importedAs(name), isWrong: false });
	}

	async function deleteProfile(profile: BoardProfile): Promise<void> {
		const outcome = await remove.run({ profile: profile.name });
		if (!outcome.ok) return;
		setChosenName(null);
		setVersion(version + 1);
		setSaid({ text: text.deleted(profile.name), isWrong: false, deleted: profile });
	}

	async function bringBack(profile: BoardProfile): Promise<void> {
		const outcome = await save.run({ profile });
		if (!outcome.ok) return;
		setSaid(null);
		setChosenName(profile.name);
		setVersion(version + 1);
	}

	return (
		<section class="panel form-section" aria-label={text.title}>
			<div class="panel-line">
				<div>
					<h2>{text.title}</h2>
					<p class="lead">{text.text}</p>
				</div>
				<div class="button-row">
					<a class="button" href={hashOf({ screen: "profile", name: null, isCopy: false })}>
						<Icon name="add" />
						{text.create}
					</a>
					<FileButton text={text.import} isBusy={save.isBusy} onFile={(file) => void importFile(file)} />
				</div>
			</div>
			{listed.state === "loading" && <LoadingNote text={text.loading} />}
			{listed.state === "failed" && <FaultNote fault={listed.fault} />}
			{said !== null && (
				<p
					class={said.isWrong ? "note note-fault" : "note note-done"}
					role={said.isWrong ? "alert" : "status"}
				>
					<Icon name={said.isWrong ? "caution" : "check"} />
					<span>{said.text}</span>
					<SaidButton said={said} onUndo={(profile) => void bringBack(profile)} />
				</p>
			)}
			{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
			{remove.fault !== null && <FaultNote fault={remove.fault} onDismiss={remove.clearFault} />}
			{chosen !== null && (
				<div class="other-boards">
					<div class="profile-list">
						<ProfileList
							title={text.own}
							profiles={own}
							chosen={chosen.profile.name}
							onChoose={setChosenName}
						/>
						<ProfileList
							title={text.shipped}
							profiles={shipped}
							chosen={chosen.profile.name}
							onChoose={setChosenName}
						/>
					</div>
					<ChosenProfile
						key={chosen.profile.name}
						state={state}
						chosen={chosen}
						isBusy={remove.isBusy}
						onDelete={() => void deleteProfile(chosen.profile)}
					/>
				</div>
			)}
		</section>
	);
}

function SaidButton({
	said,
	onUndo,
}: {
	readonly said: Said;
	readonly onUndo: (profile: BoardProfile) => void;
}) {
	const { deleted } = said;
	if (deleted === undefined) return null;
	return (
		<button type="button" class="button button-small" onClick={() => onUndo(deleted)}>
			{text.undo}
		</button>
	);
}

/** @returns the profile, or what is wrong with the file */
async function readProfileFile(file: File): Promise<BoardProfile | string> {
	if (file.size > mostProfileBytes) return text.tooLarge(mostProfileBytes / 1024 ** 2);
	let input: unknown;
	try {
		input = JSON.parse(await file.text());
	} catch (error) {
		if (error instanceof SyntaxError) return text.notJson(error.message);
		return text.unreadable(file.name);
	}
	const read = parseProfile(input);
	return read.ok ? read.value : text.notProfile(read.error);
}

function ProfileList({
	title,
	profiles,
	chosen,
	onChoose,
}: {
	readonly title: string;
	readonly profiles: readonly ListedProfile[];
	readonly chosen: string;
	readonly onChoose: (name: string) => void;
}) {
	if (profiles.length === 0) return null;
	return (
		<fieldset>
			<legend class="field-label">{title}</legend>
			{profiles.map(({ profile }) => (
				<label key={profile.name} class="profile-option">
					<input
						type="radio"
						name="board-profile"
						checked={profile.name === chosen}
						onChange={() => onChoose(profile.name)}
					/>
					<span>
						<span class="port-name">{profile.name}</span>
						<span class="panel-sub">{text.facts(profile)}</span>
					</span>
				</label>
			))}
		</fieldset>
	);
}

function ChosenProfile({
	state,
	chosen: { profile, isShipped },
	isBusy,
	onDelete,
}: {
	readonly state: AppState;
	readonly chosen: ListedProfile;
	readonly isBusy: boolean;
	readonly onDelete: () => void;
}) {
	const { name, note, drive } = profile;
	const told = isShipped ? text.assumed : text.drive;
	return (
		<div class="profile-chosen">
			<div>
				<h3>{name}</h3>
				{note !== "" && <p class="panel-sub">{note}</p>}
				<p>{told(formatQuantity(drive.currentMilliamp, 3, "mA"), formatFrequency(drive.frequencyHertz))}</p>
				<div class="button-row">
					{!isShipped && (
						<a class="button button-small" href={hashOf({ screen: "profile", name, isCopy: false })}>
							{text.edit}
						</a>
					)}
					<a class="button button-small" href={hashOf({ screen: "profile", name, isCopy: true })}>
						{text.copy}
					</a>
					<button type="button" class="button button-small" onClick={() => exportProfile(profile)}>
						{text.export}
					</button>
					{!isShipped && (
						<button type="button" class="button button-small" disabled={isBusy} onClick={onDelete}>
							{text.delete}
						</button>
					)}
				</div>
			</div>
			<ConnectBoard state={state} profile={profile} />
			<PlayLog state={state} profile={profile} />
		</div>
	);
}

function exportProfile(profile: BoardProfile): void {
	download({
		fileName: `${profile.name.replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-|-$/g, "") || "board"}.json`,
		mediaType: "application/json",
		text: `${JSON.stringify(profile, null, "\t")}\n`,
	});
}

interface DeviceProps {
	readonly state: AppState;
	readonly profile: BoardProfile;
}

function ConnectBoard({ state, profile }: DeviceProps) {
	const [version, setVersion] = useState(0);
	const [portId, setPortId] = useState<string | null>(null);
	const ports = useLoaded("listPorts", null, `ports ${version}`);
	const connect = useAction("connect");
	const isBarred = !state.cautions.acknowledged || state.records.isDemo;
	return (
		<div class="form-inset">
			<h4>{text.connectTitle}</h4>
			<p class="field-hint">{text.stated}</p>
			<PortField
				ports={ports}
				portId={portId}
				onChoose={setPortId}
				onRefresh={() => setVersion(version + 1)}
			/>
			{isBarred && (
				<p class="field-hint">{state.records.isDemo ? demoWords.realBand : words.connect.needCautions}</p>
			)}
			<button
				type="button"
				class="button button-primary"
				disabled={portId === null || isBarred || connect.isBusy}
				onClick={() => {
					if (portId === null) return;
					void connect.run({ kind: "profile", portId, baudRate: profile.baudRate, profile: profile.name });
				}}
			>
				{text.connect}
			</button>
			{connect.fault !== null && <FaultNote fault={connect.fault} onDismiss={connect.clearFault} />}
		</div>
	);
}

function PlayLog({ state, profile }: DeviceProps) {
	const [rate, setRate] = useState("20");
	const [wrong, setWrong] = useState<string | null>(null);
	const [isPlaying, setPlaying] = useState(false);
	const play = useAction("playLog");
	const hasTime = profile.time !== null;
	const framesPerSecond = parseNumber(rate) ?? 0;
	const isRate = framesPerSecond >= 1 && framesPerSecond <= 200;

	async function open(file: File): Promise<void> {
		setWrong(null);
		setPlaying(false);
		if (file.size > mostLogBytes) {
			setWrong(text.tooLarge(mostLogBytes / 1024 ** 2));
			return;
		}
		let log: string;
		try {
			log = await readBytesAsText(file);
		} catch {
			// The browser tells no more than that: the file was moved, or may not be read.
			setWrong(text.unreadable(file.name));
			return;
		}
		const outcome = await play.run({
			fileName: file.name.slice(0, 200),
			text: log,
			profile: profile.name,
			framesPerSecond: hasTime ? 20 : framesPerSecond,
		});
		setPlaying(outcome.ok);
	}

	return (
		<div class="form-inset">
			<h4>{text.playTitle}</h4>
			<p class="field-hint">{text.playText}</p>
			{!hasTime && (
				<TextField
					label={text.rate}
					hint={text.rateHint}
					isNumber
					value={rate}
					error={isRate ? null : words.errors.range(1, 200)}
					onInput={setRate}
				/>
			)}
			<FileButton
				text={text.play}
				accept=".txt,.log,.csv,.tsv,text/*"
				isBusy={play.isBusy || state.records.isDemo || !(hasTime || isRate)}
				onFile={(file) => void open(file)}
			/>
			{state.records.isDemo && <p class="field-hint">{demoWords.realBand}</p>}
			{wrong !== null && (
				<p class="note note-fault" role="alert">
					<Icon name="caution" />
					<span>{wrong}</span>
				</p>
			)}
			{play.fault !== null && <FaultNote fault={play.fault} onDismiss={play.clearFault} />}
			{isPlaying && (
				<p class="note note-done" role="status">
					<Icon name="check" />
					<span>{text.playing}</span>
					<a class="button button-small" href={hashOf({ screen: "live" })}>
						{text.watch}
					</a>
				</p>
			)}
		</div>
	);
}
