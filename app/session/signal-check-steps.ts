/** What each step of the signal check does to find out what it finds. */
import { createNoiseMeasure, type NoiseMeasure } from "../../core/signal/noise-measure.ts";
import type { CheckFinding, CheckStepId } from "../../core/signal/signal-check.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { Clock } from "./clock.ts";
import type { Live } from "./live.ts";
import type { LiveBand } from "./live-band.ts";
import type { SetUp } from "./set-up.ts";
import type { RangeKeeper } from "./signal-check-range-keeper.ts";

export interface CheckSteps {
	onFrame(band: LiveBand, frame: Frame): void;
	onContacts(band: LiveBand): void;
	/** A band was announced. */
	onBand(): void;
	onLink(): void;
	/** @returns null when it was broken off */
	measure(step: CheckStepId, signal: AbortSignal): Promise<CheckFinding | null>;
	/** What is known of contact just now, without asking. */
	contactFinding(): CheckFinding;
}

export interface CheckStepsParts {
	readonly clock: Clock;
	readonly live: Live;
	readonly setUp: SetUp;
	readonly ranges: RangeKeeper;
}

/** Ports over Bluetooth may take seconds to carry the first byte. */
const LINK_MS = 8000;
const BANDS_MS = 2000;
const CONTACT_MS = 3000;
const NOISE_SECONDS = 1.5;
const NOISE_MS = 4000;
const FEWEST_NOISE_FRAMES = 8;
/** Common practice: 5 to 10 s. */
const REST_SECONDS = 5;
/** Somebody who was just moved sits still at the second try. */
const REST_ATTEMPTS = 3;

interface Listening {
	readonly measure: NoiseMeasure;
	/** s, device time */
	begin: number;
	isDone: boolean;
}

export function createCheckSteps({ clock, live, setUp, ranges }: CheckStepsParts): CheckSteps {
	/** Looked at again whenever something came. */
	let isThere: (() => boolean) | null = null;
	let onThere: () => void = () => undefined;
	/** Bands that have told their contact since they were asked. */
	const told = new Set<number>();
	let listening: Map<number, Listening> | null = null;

	function look(): void {
		if (isThere?.() === true) onThere();
	}

	/** Settles when the condition holds, when its time is over or when it is given up. */
	function until(condition: () => boolean, milliseconds: number, signal: AbortSignal): Promise<void> {
		if (condition() || signal.aborted) return Promise.resolve();
		return new Promise((resolve) => {
			const done = (): void => {
				stop();
				signal.removeEventListener("abort", done);
				isThere = null;
				resolve();
			};
			const stop = clock.after(milliseconds, done);
			signal.addEventListener("abort", done, { once: true });
			isThere = condition;
			onThere = done;
		});
	}

	function isStreaming(): boolean {
		return live.linkState.state === "streaming";
	}

	function isAnnounced(): boolean {
		return live.bandCount > 0 && live.bands.size === live.bandCount;
	}

	async function link(signal: AbortSignal): Promise<CheckFinding> {
		if (live.linkState.state === "stopped") await live.send({ command: "start" });
		const { state } = live.linkState;
		if (state !== "idle" && state !== "failed") await until(isStreaming, LINK_MS, signal);
		return { step: "link", isStreaming: isStreaming() };
	}

	async function band(signal: AbortSignal): Promise<CheckFinding> {
		await until(isAnnounced, BANDS_MS, signal);
		const bands = [...live.bands.values()];
		const [first] = bands;
		const electrodes = first?.pattern.electrodeCount ?? 0;
		const body = setUp.forElectrodes(electrodes) ?? setUp.limbAndBand;
		return {
			step: "band",
			electrodeCounts: bands.map(({ pattern }) => pattern.electrodeCount),
			bandCount: live.bandCount,
			expectedElectrodes: body.band.electrodeCount,
			pattern: first?.pattern.name ?? "",
		};
	}

	function contactFinding(): CheckFinding {
		const bands = [...live.bands.values()]
			.filter(({ ohm }) => ohm !== null)
			.map(({ bandIndex, contacts }) => ({
				bandIndex,
				ohm: contacts.map(({ ohm }) => ohm),
				verdicts: contacts.map(({ verdict }) => verdict),
			}));
		return { step: "contact", bands };
	}

	async function contact(signal: AbortSignal): Promise<CheckFinding> {
		told.clear();
		const asked = await live.send({ command: "contact-check" });
		if (asked.ok) {
			await until(() => [...live.bands.keys()].every((index) => told.has(index)), CONTACT_MS, signal);
		}
		return contactFinding();
	}

	async function noise(signal: AbortSignal): Promise<CheckFinding> {
		const own = new Map<number, Listening>();
		for (const { bandIndex, pattern, pairs } of live.bands.values()) {
			own.set(bandIndex, { measure: createNoiseMeasure(pattern, pairs), begin: Number.NaN, isDone: false });
		}
		listening = own;
		await until(() => [...own.values()].every(({ isDone }) => isDone), NOISE_MS, signal);
		listening = null;
		const heard = [...own].filter(([, { measure }]) => measure.frames >= FEWEST_NOISE_FRAMES);
		return {
			step: "noise",
			bands: heard.map(([bandIndex, { measure }]) => {
				const { frames: _, ...figures } = measure.finish();
				return { bandIndex, ...figures };
			}),
		};
	}

	async function rest(signal: AbortSignal): Promise<CheckFinding> {
		let driftPercent: number | null = null;
		for (let attempt = 0; attempt < REST_ATTEMPTS && !signal.aborted; attempt++) {
			const outcome = await live.takeBaseline(REST_SECONDS, signal);
			if (outcome.ok) {
				const { signalToNoiseDecibel } = live.state().quality;
				return {
					step: "rest",
					outcome: "taken",
					seconds: REST_SECONDS,
					driftPercent: null,
					signalToNoiseDecibel,
				};
			}
			driftPercent = outcome.error.kind === "baseline-not-steady" ? outcome.error.driftPercent : null;
			if (driftPercent === null) break;
		}
		const outcome = driftPercent === null ? "refused" : "moved";
		return { step: "rest", outcome, seconds: REST_SECONDS, driftPercent, signalToNoiseDecibel: null };
	}

	async function drive(signal: AbortSignal): Promise<CheckFinding | null> {
		const bands = await ranges.run("asked", signal);
		return bands === null ? null : { step: "drive", bands };
	}

	const work: Record<CheckStepId, (signal: AbortSignal) => Promise<CheckFinding | null>> = {
		link,
		band,
		contact,
		drive,
		noise,
		rest,
	};

	return {
		onFrame({ bandIndex, configuration }, frame) {
			const own = listening?.get(bandIndex);
			if (own === undefined || own.isDone || frame.values.length !== configuration.readingCount) return;
			const now = frame.timeMicros / 1e6;
			if (Number.isNaN(own.begin)) own.begin = now;
			own.measure.add(frame.values);
			own.isDone = now - own.begin >= NOISE_SECONDS && own.measure.frames >= FEWEST_NOISE_FRAMES;
			if (own.isDone) look();
		},
		onContacts({ bandIndex }) {
			told.add(bandIndex);
			look();
		},
		onBand: look,
		onLink: look,
		async measure(step, signal) {
			const finding = await work[step](signal);
			return signal.aborted ? null : finding;
		},
		contactFinding,
	};
}
