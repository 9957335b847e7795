/** What the live screen is about in words, and its three actions: rest baseline, record, large view. */
import { useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import { hashOf } from "../route.ts";
import { checkWords, currentText, driveWords } from "../text/check-words.ts";
import { formatAge, formatCount, formatQuantity } from "../text/quantity.ts";
import { badLineText, clockWords, contactDetail, words } from "../text/words.ts";
import { BandNotes } from "./band-notes.tsx";
import { RangingNote } from "./check-offer.tsx";
import { Icon } from "./icon.tsx";
import { useAppState, usePreferences } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** Long enough for a median that single twitches do not move (common practice: 5 to 10 s). */
const BASELINE_SECONDS = 5;

export function LiveBar({ onCautionsNeeded }: { readonly onCautionsNeeded: () => void }) {
	const state = useAppState();
	const [preferences, setPreferences] = usePreferences();
	const baseline = useAction("takeBaseline");
	const start = useAction("startRecording");
	const stop = useAction("stopRecording");
	const [storedId, setStoredId] = useState<number | null>(null);
	const isStreaming = state.link.state === "streaming";
	const fault = baseline.fault ?? start.fault ?? stop.fault;
	const taking = state.takingBaseline;

	async function record(): Promise<void> {
		if (!state.cautions.acknowledged) {
			onCautionsNeeded();
			return;
		}
		setStoredId(null);
		await start.run({ title: "" });
	}

	async function stopRecording(): Promise<void> {
		const outcome = await stop.run(null);
		if (outcome.ok) setStoredId(outcome.value.sessionId);
	}

	return (
		<div class="live-bar">
			<div class="live-bar-row">
				<QualityWords state={state} isStreaming={isStreaming} />
				{isStreaming && state.recording === null && (
					<a
						class={state.check.isDue ? "button" : "button button-quiet"}
						href={hashOf({ screen: "check" })}
						title={state.check.isDue ? checkWords.dueText : undefined}
					>
						{state.check.isDue && <Icon name="info" />}
						{checkWords.open}
					</a>
				)}
				<div class="live-bar-group">
					{/* Told aloud while a rest is taken, not every second of its age. */}
					<p class="live-words" role={taking === null ? undefined : "status"}>
						{baselineWords(state)}
					</p>
					{taking !== null ? (
						<button type="button" class="button" onClick={baseline.cancel}>
							{words.live.cancel}
						</button>
					) : (
						<button
							type="button"
							class={state.baseline === null ? "button button-primary" : "button"}
							disabled={!isStreaming || baseline.isBusy}
							onClick={() => void baseline.run({ seconds: BASELINE_SECONDS })}
						>
							<Icon name="rest" />
							{words.live.takeBaseline}
						</button>
					)}
				</div>
				<div class="live-bar-group">
					{state.recording === null ? (
						<button
							type="button"
							class={state.baseline === null ? "button" : "button button-primary"}
							disabled={!isStreaming || start.isBusy}
							onClick={() => void record()}
						>
							<Icon name="record" />
							{words.live.record}
						</button>
					) : (
						<>
							<p class="live-words figures">{words.live.recorded(formatCount(state.recording.frames))}</p>
							<button
								type="button"
								class="button button-on"
								disabled={stop.isBusy}
								onClick={() => void stopRecording()}
							>
								<Icon name="stop" />
								{words.live.stop}
							</button>
						</>
					)}
					<button
						type="button"
						class="button button-quiet"
						aria-pressed={preferences.largeView}
						onClick={() => setPreferences({ largeView: !preferences.largeView })}
					>
						{words.live.largeView}
					</button>
				</div>
			</div>
			<RangingNote />
			<BandNotes />
			{fault !== null && (
				<FaultNote
					fault={fault}
					onDismiss={() => {
						baseline.clearFault();
						start.clearFault();
						stop.clearFault();
					}}
				>
					{fault.kind === "cautions-not-acknowledged" && state.setup.person !== null && (
						<a class="button" href={hashOf({ screen: "person", personId: state.setup.person.id })}>
							{checkWords.toPerson}
						</a>
					)}
				</FaultNote>
			)}
			{storedId !== null && state.recording === null && (
				<p class="note note-done" role="status">
					<Icon name="check" /> {words.live.stored}{" "}
					<a href={hashOf({ screen: "replay", sessionId: storedId })}>{words.live.openStored}</a>
				</p>
			)}
		</div>
	);
}

/** What was chosen and why; what the board says where nothing was chosen. */
function driveDetail({ board, check }: AppState): string {
	const last = check.ranging.last;
	if (last !== null) return driveWords(last.bands).found;
	if (board === null) return words.quality.notKnown;
	return `${currentText(board.currentMilliamp)}, ${formatQuantity(board.gain, board.gain < 10 ? 1 : 0, "×")}`;
}

function baselineWords(state: AppState): string {
	if (state.takingBaseline !== null) return words.live.takingBaseline(state.takingBaseline.secondsLeft);
	if (state.baseline === null) return words.live.noBaseline;
	const age = formatAge(state.baseline.ageSeconds);
	return state.baseline.automatic ? words.live.baselineAuto(age) : words.live.baselineManual(age);
}

function QualityWords({ state, isStreaming }: { readonly state: AppState; readonly isStreaming: boolean }) {
	const { quality, contacts } = state;
	const bad = Object.entries(quality.bad).filter(([, count]) => count > 0);
	const badTotal = bad.reduce((sum, [, count]) => sum + count, 0);
	return (
		<details class="quality">
			<summary title={`${words.quality[quality.overall]}: ${quality.reason}`}>
				<span class={`quality-word quality-${quality.overall}`} role="status">
					<Icon
						name={quality.overall === "good" ? "check" : quality.overall === "unknown" ? "info" : "caution"}
					/>
					{words.quality[quality.overall]}
				</span>
				<span class="quality-reason" title={quality.reason}>
					{quality.reason}
				</span>
				<span class="quality-rate figures">
					{formatQuantity(isStreaming ? quality.framesPerSecond : 0, 1, words.quality.rateUnit)}
				</span>
			</summary>
			<dl class="facts quality-facts">
				<dt>{words.quality.title}</dt>
				<dd>{quality.reason}</dd>
				<dt>{words.quality.received}</dt>
				<dd>{formatCount(quality.frames)}</dd>
				<dt>{words.quality.lost}</dt>
				<dd>{formatCount(quality.lost)}</dd>
				<dt>{words.quality.late}</dt>
				<dd>{formatCount(quality.late)}</dd>
				<dt>{words.quality.bad}</dt>
				<dd>
					{formatCount(badTotal)}
					{bad.length > 0 && (
						<ul>
							{bad.map(([cause, count]) => (
								<li key={cause}>
									{formatCount(count)} {badLineText(cause)}
								</li>
							))}
						</ul>
					)}
				</dd>
				<dt>{words.quality.noise}</dt>
				<dd>
					{quality.signalToNoiseDecibel === null
						? words.quality.notKnown
						: formatQuantity(quality.signalToNoiseDecibel, 0, "dB")}
				</dd>
				<dt>{words.quality.reciprocity}</dt>
				<dd>
					{quality.reciprocityPercent === null
						? words.quality.notKnown
						: formatQuantity(quality.reciprocityPercent, 2, "%")}
				</dd>
				<dt>{words.quality.contact}</dt>
				<dd>{contactDetail(contacts)}</dd>
				<dt>{words.quality.drive}</dt>
				<dd>{driveDetail(state)}</dd>
				<dt>{words.quality.clock}</dt>
				<dd>{clockWords(quality.clockDriftPpm)}</dd>
			</dl>
		</details>
	);
}
