/** The fifth step of a board profile: what is read of the sample, and of what the port says now. */
import { useMemo, useState } from "preact/hooks";
import { type BoardProfile, patternOf } from "../../core/wire/profile/board-profile.ts";
import { readingsOnDisc } from "../../core/wire/profile/disc-signs.ts";
import {
	agreementWithDisc,
	leastAgreement,
	type ProfileTrial,
	tryProfile,
} from "../../core/wire/profile/profile-trial.ts";
import { otherPatterns } from "../profile-draft.ts";
import type { Fact } from "../text/how-measured.ts";
import { refusedWords, profileWords as text, whyRefused } from "../text/profile-words.ts";
import { formatQuantity } from "../text/quantity.ts";
import { CaptureProgress } from "./capture-progress.tsx";
import { FactList } from "./fact-list.tsx";
import { FramePlot } from "./frame-plot.tsx";
import { Icon } from "./icon.tsx";
import { FaultNote } from "./notes.tsx";
import type { PortChoice } from "./profile-lines.tsx";
import { bytesOfBinaryText } from "./read-file.ts";
import { captureSeconds, useCapture } from "./use-capture.ts";

const shownValues = 16;

export function ProfileTest({
	profile,
	trial,
	port,
}: {
	/** Null while steps before are not complete. */
	readonly profile: BoardProfile | null;
	/** Of the sample; null without one. */
	readonly trial: ProfileTrial | null;
	readonly port: PortChoice;
}) {
	if (profile === null) return <p class="lead">{text.noTrial}</p>;
	return (
		<>
			<h3>{text.trialSample}</h3>
			{trial === null ? (
				<p class="lead">{text.noLines}</p>
			) : (
				<Trial profile={profile} trial={trial} seconds={null} />
			)}
			<h3>{text.trialLive}</h3>
			<LiveTrial key={JSON.stringify({ ...profile, name: "", note: "" })} profile={profile} port={port} />
		</>
	);
}

function LiveTrial({ profile, port }: { readonly profile: BoardProfile; readonly port: PortChoice }) {
	const capture = useCapture();
	const [trial, setTrial] = useState<ProfileTrial | null>(null);
	const { isBusy, fault, cancel, clearFault } = capture.action;

	async function run(portId: string): Promise<void> {
		setTrial(null);
		const heard = await capture.run(portId, profile.baudRate);
		if (heard !== null) setTrial(tryProfile(profile, bytesOfBinaryText(heard)));
	}

	return (
		<>
			<div class="button-row">
				{isBusy ? (
					<CaptureProgress label={text.runLive} elapsed={capture.elapsed} onCancel={cancel} />
				) : (
					<button
						type="button"
						class="button"
						disabled={port.portId === null}
						onClick={() => {
							if (port.portId !== null) void run(port.portId);
						}}
					>
						{text.runLive}
					</button>
				)}
				{port.portId === null && <span class="field-hint">{text.noPort}</span>}
			</div>
			{fault !== null && <FaultNote fault={fault} onDismiss={clearFault} />}
			{trial !== null && <Trial profile={profile} trial={trial} seconds={captureSeconds} />}
		</>
	);
}

function Trial({
	profile,
	trial,
	seconds,
}: {
	readonly profile: BoardProfile;
	readonly trial: ProfileTrial;
	/** In which the lines came; null where nobody knows. */
	readonly seconds: number | null;
}) {
	const { firstRefused, firstFrame, meanFrame } = trial;
	return (
		<>
			<FactList facts={factsOf(profile, trial, seconds)} />
			{firstRefused !== null && (
				<div class="note note-fault">
					<Icon name="caution" />
					<div class="refused-line">
						<p>
							<strong>{text.firstRefused(firstRefused.number)}.</strong> {whyRefused(firstRefused, profile)}
						</p>
						<code>{firstRefused.text.slice(0, 300)}</code>
					</div>
				</div>
			)}
			{firstFrame !== null && (
				<div class="field">
					<p class="field-label">
						{text.firstValues}{" "}
						<span class="field-hint">
							{text.valuesShown(Math.min(shownValues, firstFrame.length), firstFrame.length)}
						</span>
					</p>
					<ol class="first-values figures">
						{[...firstFrame.subarray(0, shownValues)].map((value, i) => (
							// Readings stay in their order.
							<li key={i}>{Number(value.toPrecision(6))}</li>
						))}
					</ol>
				</div>
			)}
			{meanFrame !== null && <Agreement profile={profile} frame={meanFrame} />}
		</>
	);
}

function factsOf(profile: BoardProfile, trial: ProfileTrial, seconds: number | null): Fact[] {
	const { frames, lines, lost, refused, framesPerSecond, unevenShare } = trial;
	const rate =
		framesPerSecond !== null
			? text.rateByClock(framesPerSecond.toFixed(1))
			: seconds !== null && frames > 0
				? text.rateByArrival((frames / seconds).toFixed(1))
				: text.rateUnknown;
	const time =
		profile.time === null
			? text.timeNone
			: unevenShare === null
				? frames > 1
					? text.timeStands
					: text.rateUnknown
				: unevenShare > 0.05
					? text.timeUneven(Math.round(100 * unevenShare))
					: text.timeGood;
	const sequence =
		lost > 0 ? text.sequenceLost(lost) : profile.sequence === null ? text.sequenceNone : text.sequenceGood;
	return [
		{ name: text.frames, value: text.framesOf(frames, lines) },
		{ name: text.rate, value: rate },
		{ name: text.sequence, value: sequence },
		{ name: text.time, value: time },
		{
			name: text.refused,
			value:
				refused.length === 0
					? text.refusedNone
					: refused.map(({ cause, count }) => text.refusedCount(count, refusedWords(cause))).join(", "),
		},
	];
}

/** A frame beside a uniform disc: in another order, or with wrong signs, it does not go with it. */
function Agreement({ profile, frame }: { readonly profile: BoardProfile; readonly frame: Float64Array }) {
	const disc = useMemo(() => readingsOnDisc(patternOf(profile).terminals, profile.electrodeCount), [profile]);
	const agreement = agreementWithDisc(profile, frame);
	if (agreement === null) return <p class="lead">{text.agreementNone}</p>;
	const shown = formatQuantity(agreement, 2, "").trim();
	const isGood = Math.abs(agreement) >= leastAgreement;
	const verdict = isGood ? (agreement > 0 ? text.agreementGood : text.agreementTurned) : text.agreementPoor;
	const better = isGood ? null : betterReading(profile, frame);
	return (
		<>
			<FramePlot frame={frame} disc={disc} agreement={agreement} />
			<p class={isGood ? "count-note count-good" : "note note-fault"} role="status">
				<Icon name={isGood ? "check" : "caution"} />{" "}
				<span>
					{verdict(shown)}
					{better !== null && ` ${better}`}
				</span>
			</p>
		</>
	);
}

/** Another way of reading the same frame that agrees; null where none does. */
function betterReading(profile: BoardProfile, frame: Float64Array): string | null {
	const disc = readingsOnDisc(patternOf(profile).terminals, profile.electrodeCount);
	const sizes = frame.map((value, i) => Math.abs(value) * Math.sign(disc[i]!));
	if ((agreementWithDisc(profile, sizes) ?? 0) >= leastAgreement) return text.agreementSizes;
	for (const other of otherPatterns(profile)) {
		if (Math.abs(agreementWithDisc(other, frame) ?? 0) < leastAgreement) continue;
		const { pattern, electrodeCount } = other;
		if (pattern.kind !== "named") continue;
		const isTwo = pattern.terminals === "two-terminal";
		return text.agreementOther(text.patternChoice(electrodeCount, text.driveName(pattern.drive), isTwo));
	}
	return null;
}
