/** The editor of board profiles: from lines that any board prints to a picture. */
import { useEffect, useMemo, useState } from "preact/hooks";
import type { ListedProfile } from "../../app/contract.ts";
import { type ProfileTrial, tryProfile } from "../../core/wire/profile/profile-trial.ts";
import { AreaField, TextField } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { Modal } from "../parts/modal.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { ProfileFields } from "../parts/profile-fields.tsx";
import { ProfileLines } from "../parts/profile-lines.tsx";
import { ProfilePattern } from "../parts/profile-pattern.tsx";
import { ProfileTest } from "../parts/profile-test.tsx";
import { ProfileValue } from "../parts/profile-value.tsx";
import { useLeaveGuard } from "../parts/use-leave-guard.ts";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { useUndo } from "../parts/use-undo.ts";
import {
	type DraftErrors,
	type DraftField,
	draftOf,
	emptyDraft,
	foundReadings,
	freeName,
	type ProfileDraft,
	readDraft,
	readForTrial,
} from "../profile-draft.ts";
import { hashOf } from "../route.ts";
import { parseNumber } from "../set-up-form.ts";
import { profileWords as text } from "../text/profile-words.ts";

/** @param name of the profile to change or copy; null for a new one */
export function ProfileScreen({ name, isCopy }: { readonly name: string | null; readonly isCopy: boolean }) {
	const listed = useLoaded("listProfiles", null, "profiles");
	// What was loaded first is edited: a later list (the connection came back) must not throw work away.
	const [profiles, setProfiles] = useState<readonly ListedProfile[] | null>(null);
	useEffect(() => {
		if (listed.state === "ready") setProfiles((before) => before ?? listed.value);
	}, [listed]);
	return (
		<>
			<p>
				<a class="back-link" href={hashOf({ screen: "connect" })}>
					<Icon name="left" />
					{text.back}
				</a>
			</p>
			{profiles === null && listed.state === "loading" && <LoadingNote text={text.loading} />}
			{profiles === null && listed.state === "failed" && <FaultNote fault={listed.fault} />}
			{profiles !== null && <LoadedEditor profiles={profiles} name={name} isCopy={isCopy} />}
		</>
	);
}

function LoadedEditor({
	profiles,
	name,
	isCopy,
}: {
	readonly profiles: readonly ListedProfile[];
	readonly name: string | null;
	readonly isCopy: boolean;
}) {
	const found = profiles.find(({ profile }) => profile.name === name);
	if (name !== null && found === undefined) {
		return <EmptyNote title={text.missing(name)} text={text.missingText} />;
	}
	const taken = profiles.map(({ profile }) => profile.name);
	// The program's own stay as they are.
	const isOther = isCopy || found?.isShipped === true;
	const start =
		found === undefined
			? emptyDraft()
			: { ...draftOf(found.profile), ...(isOther ? { name: freeName(found.profile.name, taken) } : {}) };
	return (
		<Editor
			start={start}
			original={found === undefined || isOther ? null : found.profile.name}
			profiles={profiles}
		/>
	);
}

type Step = keyof typeof text.steps;
const steps = Object.keys(text.steps) as Step[];

const stepOf: Record<DraftField, Step> = {
	baudRate: "lines",
	ranges: "fields",
	lines: "fields",
	firstRow: "fields",
	modulus: "fields",
	readings: "fields",
	electrodes: "pattern",
	rows: "pattern",
	voltsPerCount: "value",
	fullScale: "value",
	current: "value",
	frequency: "value",
	name: "save",
	whole: "save",
};

function Editor({
	start,
	original,
	profiles,
}: {
	readonly start: ProfileDraft;
	/** Name under which it is kept; null while it is not. */
	readonly original: string | null;
	readonly profiles: readonly ListedProfile[];
}) {
	const { value: draft, change, undo, canUndo } = useUndo(() => start);
	const [saved, setSaved] = useState(start);
	const [keptAs, setKeptAs] = useState(original);
	const [showsAll, setShowsAll] = useState(false);
	const [said, setSaid] = useState("");
	const [version, setVersion] = useState(0);
	const [portId, setPortId] = useState<string | null>(null);
	const ports = useLoaded("listPorts", null, `ports ${version}`);
	const save = useAction("saveProfile");
	const remove = useAction("deleteProfile");
	const read = useMemo(() => readDraft(draft), [draft]);
	const profile = useMemo(() => readForTrial(draft), [draft]);
	const { sample } = draft;
	const trial = useMemo<ProfileTrial | null>(
		() =>
			profile === null || sample.trim() === "" ? null : tryProfile(profile, new TextEncoder().encode(sample)),
		[profile, sample],
	);
	const errors = read.ok ? {} : read.errors;
	const shownErrors = showsAll ? errors : errorsOfEntered(draft, errors);
	const isUnsaved = draft !== saved;
	const guard = useLeaveGuard(isUnsaved);
	const others = profiles.filter((one) => one.profile.name !== keptAs);
	const namesake = others.find((one) => one.profile.name === draft.name.trim());
	const nameError = namesake?.isShipped === true ? text.shippedName : (shownErrors.name ?? null);
	const port = { ports, portId, onChoose: setPortId, onRefresh: () => setVersion(version + 1) };

	function edit(next: ProfileDraft, key?: string): void {
		setSaid("");
		change(next, key);
	}

	async function run(): Promise<boolean> {
		setShowsAll(true);
		if (!read.ok || namesake?.isShipped === true) return false;
		const outcome = await save.run({ profile: read.profile });
		if (!outcome.ok) return false;
		// It was given another name: it is still one profile.
		if (keptAs !== null && keptAs !== read.profile.name) await remove.run({ profile: keptAs });
		setKeptAs(read.profile.name);
		// So that a reload finds it; the screen stays as it is.
		history.replaceState(null, "", hashOf({ screen: "profile", name: read.profile.name, isCopy: false }));
		setSaved(draft);
		setShowsAll(false);
		setSaid(text.saved);
		return true;
	}

	useEffect(() => {
		const onKey = (event: KeyboardEvent): void => {
			const isUndo = (event.ctrlKey || event.metaKey) && !event.shiftKey && event.key.toLowerCase() === "z";
			// In a field the browser undoes what was typed there.
			const isTyping =
				event.target instanceof HTMLElement && event.target.matches("input[type=text], textarea");
			if (!isUndo || isTyping || !canUndo) return;
			event.preventDefault();
			undo();
		};
		window.addEventListener("keydown", onKey);
		return () => window.removeEventListener("keydown", onKey);
	});

	const baudRate = errors.baudRate === undefined ? parseNumber(draft.baudRate) : null;
	const contents: Record<Step, preact.ComponentChild> = {
		lines: (
			<ProfileLines
				draft={draft}
				baudRate={baudRate}
				baudError={shownErrors.baudRate ?? null}
				port={port}
				onChange={edit}
			/>
		),
		fields: <ProfileFields draft={draft} errors={shownErrors} onChange={edit} />,
		pattern: <ProfilePattern draft={draft} errors={shownErrors} onChange={edit} />,
		value: <ProfileValue draft={draft} errors={shownErrors} onChange={edit} />,
		trial: <ProfileTest profile={profile} trial={trial} port={port} />,
		save: (
			<>
				<TextField
					label={text.name}
					hint={namesake !== undefined && !namesake.isShipped ? text.replaces : undefined}
					value={draft.name}
					error={nameError}
					onInput={(name) => edit({ ...draft, name: name.slice(0, 80) }, "name")}
				/>
				<AreaField
					label={text.note}
					hint={text.noteHint}
					rows={2}
					value={draft.note}
					onInput={(note) => edit({ ...draft, note: note.slice(0, 2000) }, "note")}
				/>
				{shownErrors.whole !== undefined && <p class="field-error">{shownErrors.whole}</p>}
			</>
		),
	};

	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{keptAs ?? text.newTitle}</h1>
					<p class="lead">{text.lead}</p>
				</div>
			</header>
			<form
				class="profile-form"
				noValidate
				onSubmit={(event) => {
					event.preventDefault();
					void run();
				}}
			>
				<div class="profile-steps">
					{steps.map((step, i) => (
						<section key={step} id={`step-${step}`} class="panel form-section" aria-label={text.steps[step]}>
							<h2>
								<span class="step-number">{i + 1}</span>
								{text.steps[step]}
							</h2>
							{contents[step]}
						</section>
					))}
				</div>
				<aside class="profile-side">
					<div class="panel form-section">
						<SideStatus
							errors={errors}
							trial={trial}
							isEmpty={sample.trim() === "" && foundReadings(draft) === 0}
						/>
						<div class="button-row">
							<button type="submit" class="button button-primary" disabled={save.isBusy || remove.isBusy}>
								{text.save}
							</button>
							<button
								type="button"
								class="button button-quiet"
								title={text.undoHint}
								disabled={!canUndo}
								onClick={undo}
							>
								{text.undo}
							</button>
						</div>
						{save.fault !== null && <FaultNote fault={save.fault} onDismiss={save.clearFault} />}
						{remove.fault !== null && <FaultNote fault={remove.fault} onDismiss={remove.clearFault} />}
						<p class="field-hint" role="status">
							{isUnsaved ? text.unsaved : said}
						</p>
						{!isUnsaved && keptAs !== null && (
							<a class="button" href={hashOf({ screen: "connect" })}>
								{text.useNow}
							</a>
						)}
					</div>
				</aside>
			</form>
			{guard.wanted !== null && (
				<Modal title={text.leaveTitle} isSmall onClose={guard.stay}>
					<div class="modal-body">
						<p>{text.leaveText}</p>
					</div>
					<div class="modal-foot">
						<button
							type="button"
							class="button button-primary"
							onClick={() => void run().then((isSaved) => (isSaved ? guard.leave() : guard.stay()))}
						>
							{text.leaveSave}
						</button>
						<button type="button" class="button" onClick={guard.leave}>
							{text.leave}
						</button>
						<button type="button" class="button button-quiet" onClick={guard.stay}>
							{text.stay}
						</button>
					</div>
				</Modal>
			)}
		</>
	);
}

/** What is empty is not wrong before somebody wants to save. */
function errorsOfEntered(draft: ProfileDraft, errors: DraftErrors): DraftErrors {
	const isEmpty: Partial<Record<DraftField, boolean>> = {
		name: draft.name === "",
		current: draft.current === "",
		frequency: draft.frequency === "",
		voltsPerCount: draft.voltsPerCount === "",
		ranges: draft.ranges.length === 0,
		rows: draft.rows.length === 0,
		readings: draft.sample === "" && draft.readings.length === 0,
	};
	return Object.fromEntries(
		Object.entries(errors).filter(([field]) => isEmpty[field as DraftField] !== true),
	);
}

function SideStatus({
	errors,
	trial,
	isEmpty,
}: {
	readonly errors: DraftErrors;
	readonly trial: ProfileTrial | null;
	readonly isEmpty: boolean;
}) {
	const open = steps.filter((step) =>
		Object.keys(errors).some((field) => stepOf[field as DraftField] === step),
	);
	return (
		<div class="side-status" role="status">
			{open.length > 0 || isEmpty ? (
				<>
					<p>{text.fixFirst}</p>
					<ul>
						{steps
							.filter((step) => open.includes(step) || (isEmpty && step === "lines"))
							.map((step) => (
								<li key={step}>
									<button
										type="button"
										class="button-link"
										onClick={() => {
											const section = document.querySelector(`#step-${step}`);
											section?.scrollIntoView({ block: "start" });
											section
												?.querySelector<HTMLElement>("input, textarea, select")
												?.focus({ preventScroll: true });
										}}
									>
										{text.steps[step]}
									</button>
								</li>
							))}
					</ul>
				</>
			) : (
				<p>
					<Icon name="check" /> {text.complete}
				</p>
			)}
			{trial !== null && (
				<p>
					{text.frames}: {text.framesOf(trial.frames, trial.lines)}
				</p>
			)}
		</div>
	);
}
