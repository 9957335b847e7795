/** Leads the search for current and gain (`core/signal/ranging.ts`) over a link that streams. */
import {
	type RangingOutcome,
	type RangingReason,
	type RangingReply,
	RangingSearch,
	type RangingStep,
} from "../../core/signal/ranging.ts";
import type { BandDrive } from "../../core/signal/signal-check.ts";
import type { BandAbility, DriveConfiguration, Frame } from "../../core/wire/frame.ts";
import type { BoardCommand } from "../link/frame-source.ts";
import type { Clock } from "./clock.ts";
import type { Live } from "./live.ts";
import type { LiveBand } from "./live-band.ts";

export interface RangeFinder {
	/** For every frame that passes by. */
	onFrame(band: LiveBand, frame: Frame): void;
	/** A band has other settings in force. */
	onBand(band: LiveBand): void;
	/** Within three seconds. @returns null when it was broken off */
	range(bandIndex: number, signal: AbortSignal): Promise<BandDrive | null>;
}

export interface RangeFinderParts {
	readonly clock: Clock;
	readonly live: Pick<Live, "bands" | "abilities" | "send" | "limitMilliamp">;
}

const FULL_SCALE_SHARE = 0.98;
/** The middle of three is not moved by one frame that a twitch or a bad contact spoilt. */
const FRAMES = 3;
/** An answer later than this is taken for none; the search says it again. */
const ANSWER_MS = 600;
/** The board has said yes, but not yet which settings are in force. */
const SETTINGS_MS = 300;
const WHOLE_MS = 2950;
const LONGEST_LOOK_MS = 900;
/** A level that a board chose for itself is well chosen from here on (our own bound; 50 to 80 % is common practice). */
const FAIR_SHARE = 0.3;

type Reply = RangingReply extends infer R ? (R extends RangingReply ? Omit<R, "elapsedMs"> : never) : never;

interface Look {
	readonly shares: number[];
	readonly clipped: number[];
	readonly done: () => void;
}

export function createRangeFinder({ clock, live }: RangeFinderParts): RangeFinder {
	const looks = new Map<number, Look>();
	const changes = new Map<number, () => void>();

	/** Settles with true when called, with false when its time is over. */
	function waiting(milliseconds: number): { readonly promise: Promise<boolean>; readonly call: () => void } {
		let call: () => void = () => undefined;
		const promise = new Promise<boolean>((resolve) => {
			const stop = clock.after(Math.max(0, milliseconds), () => resolve(false));
			call = () => {
				stop();
				resolve(true);
			};
		});
		return { promise, call };
	}

	async function look(bandIndex: number, milliseconds: number): Promise<Reply> {
		const { promise, call } = waiting(milliseconds);
		const own: Look = { shares: [], clipped: [], done: call };
		looks.set(bandIndex, own);
		await promise;
		if (looks.get(bandIndex) === own) looks.delete(bandIndex);
		if (own.shares.length === 0) return { kind: "no-frames" };
		return { kind: "saw", largestShare: middle(own.shares), clippedShare: middle(own.clipped) };
	}

	async function set(bandIndex: number, step: Exclude<RangingStep, { do: "look" | "done" }>): Promise<Reply> {
		const before = live.bands.get(bandIndex)?.configuration.configuration;
		const settings = waiting(ANSWER_MS + SETTINGS_MS);
		changes.set(bandIndex, settings.call);
		const late = waiting(ANSWER_MS);
		const command: BoardCommand =
			step.do === "set-gain"
				? { command: "set-gain", gain: step.gain, bandIndex }
				: { command: "set-current", milliamp: step.milliamp, bandIndex };
		const answer = await Promise.race([live.send(command), late.promise]);
		late.call();
		if (typeof answer === "boolean") return { kind: "silent" };
		if (!answer.ok) return { kind: answer.error.kind === "board-silent" ? "silent" : "refused" };
		const wanted = step.do === "set-gain" ? step.gain : step.milliamp;
		const inForce = (): number | null => settingOf(live.bands.get(bandIndex)?.configuration, step.do);
		// What is in force may be told after the answer; where it is in force already, it need not be told at all.
		if (live.bands.get(bandIndex)?.configuration.configuration === before && inForce() !== wanted) {
			if (!(await settings.promise)) return { kind: "silent" };
		}
		settings.call();
		const value = inForce();
		return value === null ? { kind: "silent" } : { kind: "set", inForce: value };
	}

	async function lookOnly(bandIndex: number): Promise<RangingOutcome | null> {
		const seen = await look(bandIndex, LONGEST_LOOK_MS);
		const configuration = live.bands.get(bandIndex)?.configuration;
		return configuration === undefined ? null : judgeLevel(configuration, seen);
	}

	async function search(
		bandIndex: number,
		configuration: DriveConfiguration,
		ability: BandAbility,
		signal: AbortSignal,
	): Promise<RangingOutcome | null> {
		const began = clock.now();
		const elapsed = (): number => Math.max(0, clock.now() - began);
		const { minimumMilliamp, maximumMilliamp, minimumGain, maximumGain } = ability;
		const ranging = new RangingSearch({
			minimumMilliamp,
			maximumMilliamp,
			minimumGain,
			maximumGain,
			limitMilliamp: live.limitMilliamp(configuration.frequencyHertz),
			currentMilliamp: configuration.currentMilliamp,
			gain: configuration.gain,
			knowsFullScale: configuration.fullScale > 0,
		});
		while (ranging.step.do !== "done") {
			const { step } = ranging;
			const reply =
				step.do === "look"
					? await look(bandIndex, Math.min(LONGEST_LOOK_MS, WHOLE_MS - elapsed()))
					: await set(bandIndex, step);
			if (signal.aborted || !live.bands.has(bandIndex)) return null;
			ranging.reply({ ...reply, elapsedMs: elapsed() });
		}
		return ranging.step.outcome;
	}

	return {
		onFrame(band, frame) {
			const own = looks.get(band.bandIndex);
			if (own === undefined || frame.configuration !== band.configuration.configuration) return;
			const { fullScale } = band.configuration;
			if (fullScale <= 0) {
				own.done();
				return;
			}
			const { largest, clipped } = levelOf(band, frame.values);
			own.shares.push(largest / fullScale);
			own.clipped.push(clipped);
			if (own.shares.length >= FRAMES) own.done();
		},
		onBand: ({ bandIndex }) => changes.get(bandIndex)?.(),
		async range(bandIndex, signal) {
			const band = live.bands.get(bandIndex);
			if (band === undefined || signal.aborted) return null;
			const { configuration } = band;
			const ability = live.abilities.get(bandIndex);
			const outcome =
				ability === undefined
					? await lookOnly(bandIndex)
					: await search(bandIndex, configuration, ability, signal);
			changes.delete(bandIndex);
			if (outcome === null || signal.aborted) return null;
			const { frequencyHertz } = live.bands.get(bandIndex)?.configuration ?? configuration;
			const limitMilliamp = live.limitMilliamp(frequencyHertz);
			return { bandIndex, limitMilliamp, frequencyHertz, takesCommands: ability !== undefined, outcome };
		},
	};
}

/** Readings of electrodes that are off the skin say nothing about current and gain: they float, whatever is set. Others
 *  that pictures are made without do: they may be so because they clip.
 *  @returns the largest magnitude of the others, in the readings' unit, and the share of them that is clipped */
export function levelOf(
	{ configuration, pattern, contacts }: Pick<LiveBand, "configuration" | "pattern" | "contacts">,
	values: Float64Array,
): { readonly largest: number; readonly clipped: number } {
	const { terminals } = pattern;
	const limit = FULL_SCALE_SHARE * configuration.fullScale;
	let largest = 0;
	let clipped = 0;
	let count = 0;
	for (let r = 0; r < values.length; r++) {
		if (touchesOff(contacts, terminals, 4 * r)) continue;
		const size = Math.abs(values[r]!);
		count++;
		if (size > largest) largest = size;
		if (configuration.fullScale > 0 && size >= limit) clipped++;
	}
	return { largest, clipped: count === 0 ? 0 : clipped / count };
}

function touchesOff(contacts: LiveBand["contacts"], terminals: Uint16Array, at: number): boolean {
	for (let t = at; t < at + 4; t++) if (contacts[terminals[t]!]?.verdict === "off") return true;
	return false;
}

/** Of a board that nobody can set. */
function judgeLevel(configuration: DriveConfiguration, seen: Reply): RangingOutcome {
	const { currentMilliamp, gain, fullScale } = configuration;
	const end = (
		verdict: RangingOutcome["verdict"],
		largestShare: number | null,
		...more: readonly RangingReason[]
	): RangingOutcome => ({
		currentMilliamp,
		gain,
		largestShare,
		verdict,
		reasons: ["takes-no-commands", ...more],
	});
	if (fullScale <= 0) return end("fair", null, "full-scale-unknown");
	if (seen.kind !== "saw") return end("failed", null, "no-frames");
	if (seen.clippedShare > 0) return end("failed", seen.largestShare, "still-clipped");
	return end(seen.largestShare >= FAIR_SHARE ? "good" : "fair", seen.largestShare);
}

function settingOf(
	configuration: DriveConfiguration | undefined,
	what: "set-gain" | "set-current",
): number | null {
	if (configuration === undefined) return null;
	return what === "set-gain" ? configuration.gain : configuration.currentMilliamp;
}

function middle(values: readonly number[]): number {
	const sorted = [...values].sort((a, b) => a - b);
	return sorted[sorted.length >> 1]!;
}
