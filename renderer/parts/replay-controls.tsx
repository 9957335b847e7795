/** Play, where we are, how fast, and the marks to jump to. */
import { useEffect } from "preact/hooks";
import type { ReplayState } from "../../app/contract.ts";
import { formatClock } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { Icon } from "./icon.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

const SPEEDS = [0.1, 0.25, 0.5, 1, 2, 5, 10, 25, 50, 100] as const;
const STEP_SECONDS = 1;

export function ReplayControls({ replay }: { readonly replay: ReplayState }) {
	const control = useAction("controlReplay");
	const { durationSeconds, positionSeconds, playing, speed, marks } = replay;

	function seek(seconds: number): void {
		const clamped = Math.max(0, Math.min(durationSeconds, seconds));
		void control.run({ playing: null, speed: null, seekSeconds: clamped });
	}

	function togglePlaying(): void {
		// At the end, playing begins again from the start.
		const isOver = !playing && positionSeconds >= durationSeconds - 0.01;
		void control.run({ playing: !playing, speed: null, seekSeconds: isOver ? 0 : null });
	}

	useEffect(() => {
		function onKeyDown(event: KeyboardEvent): void {
			if (event.ctrlKey || event.altKey || event.metaKey || usesKey(event.target, event.key)) return;
			const action = {
				" ": togglePlaying,
				ArrowLeft: () => seek(positionSeconds - STEP_SECONDS),
				ArrowRight: () => seek(positionSeconds + STEP_SECONDS),
				Home: () => seek(0),
				End: () => seek(durationSeconds),
			}[event.key];
			if (action === undefined) return;
			event.preventDefault();
			action();
		}
		window.addEventListener("keydown", onKeyDown);
		return () => window.removeEventListener("keydown", onKeyDown);
	});

	return (
		<section class="panel replay-controls" aria-label={words.replay.title}>
			<div class="replay-row">
				<button type="button" class="button button-primary" onClick={togglePlaying}>
					<Icon name={playing ? "pause" : "play"} />
					{playing ? words.replay.pause : words.replay.play}
				</button>
				<p class="figures replay-time">
					{formatClock(positionSeconds)} <span class="fact-note">/ {formatClock(durationSeconds)}</span>
				</p>
				<div class="scrubber">
					<input
						type="range"
						min={0}
						max={Math.max(0.001, durationSeconds)}
						step="any"
						value={positionSeconds}
						aria-label={words.replay.position}
						aria-valuetext={`${formatClock(positionSeconds)} of ${formatClock(durationSeconds)}`}
						onInput={(event) => seek(event.currentTarget.valueAsNumber)}
					/>
					<svg class="scrubber-marks" viewBox="0 0 1000 8" preserveAspectRatio="none" aria-hidden="true">
						{marks.map((mark) => (
							<rect
								key={`${mark.seconds} ${mark.label}`}
								x={(1000 * mark.seconds) / Math.max(0.001, durationSeconds) - 1}
								y="0"
								width="2"
								height="8"
							/>
						))}
					</svg>
				</div>
				<label class="inline-field">
					<span class="field-label">{words.replay.speed}</span>
					<select
						class="input"
						value={String(speed)}
						onChange={(event) =>
							void control.run({ playing: null, speed: Number(event.currentTarget.value), seekSeconds: null })
						}
					>
						{speedsWith(speed).map((choice) => (
							<option key={choice} value={String(choice)} selected={choice === speed}>
								{words.replay.speedTimes(choice)}
							</option>
						))}
					</select>
				</label>
				<label class="inline-field">
					<span class="field-label">{words.replay.marks}</span>
					<select
						class="input"
						disabled={marks.length === 0}
						value=""
						onChange={(event) => {
							const mark = marks[event.currentTarget.selectedIndex - 1];
							event.currentTarget.selectedIndex = 0;
							if (mark !== undefined) seek(mark.seconds);
						}}
					>
						<option value="">{marks.length === 0 ? words.replay.noMarks : words.replay.chooseMark}</option>
						{marks.map((mark, i) => (
							<option key={`${mark.seconds} ${mark.label}`} value={String(i)}>
								{formatClock(mark.seconds)} {mark.label}
							</option>
						))}
					</select>
				</label>
			</div>
			<p class="field-hint">{words.replay.keys}</p>
			{control.fault !== null && <FaultNote fault={control.fault} onDismiss={control.clearFault} />}
		</section>
	);
}

function speedsWith(speed: number): readonly number[] {
	return SPEEDS.some((choice) => choice === speed) ? SPEEDS : [...SPEEDS, speed].sort((a, b) => a - b);
}

/** Fields use all of our keys themselves, buttons only Space. */
function usesKey(target: EventTarget | null, key: string): boolean {
	if (!(target instanceof HTMLElement)) return false;
	const users = "input, select, textarea, dialog";
	return target.closest(key === " " ? `${users}, button, summary` : users) !== null;
}
