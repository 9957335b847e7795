/**
 * Takes rest baselines from the frames that pass by: one by itself when a stream begins, others when asked.
 *
 * The automatic one looks at the newest two seconds or so and begins again until they are steady, so that somebody who
 * moves while the band is put on gets it as soon as they sit still. One that is asked for is refused instead, with how far
 * the readings moved: whoever asked should decide.
 */
import { failure, type Result, success } from "../../core/result.ts";
import {
	type BaselineCollector,
	type BaselineFault,
	createBaselineCollector,
	FEWEST_BASELINE_FRAMES,
	type RestBaseline,
} from "../../core/signal/baseline.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { Fault } from "../contract.ts";
import type { Clock } from "./clock.ts";
import type { LiveBand, LiveBaseline } from "./live-band.ts";

export interface BaselineTaking {
	readonly secondsLeft: number | null;
	/** To be called for every frame of a band that is known. */
	add(band: LiveBand, frame: Frame): void;
	/** The next `seconds` as rest, for every band that streams. Ends an earlier one that is still being taken. */
	take(
		bands: Iterable<LiveBand>,
		seconds: number,
		signal: AbortSignal | undefined,
	): Promise<Result<null, Fault>>;
	/** Ends what is being taken with this fault and forgets the frames seen so far: the stream has ended or changed. */
	interrupt(fault: Fault): void;
}

export interface BaselineTakingEvents {
	onBaseline(band: LiveBand, baseline: LiveBaseline): void;
	/** The seconds left have changed, or there are none any more. */
	onProgress(): void;
}

const AUTOMATIC_SECONDS = 1.7;
/** After so many windows in which not all bands were steady, those that are get theirs: one of them may lie on a table. */
const MOST_UNSTEADY = 6;
/** Readings kept of one window, so that its medians take some 10 ms and no stream of frames has to wait: of long windows
 *  every second, third, … frame is taken. */
const MOST_VALUES = 110_000;
const FEWEST_KEPT_FRAMES = 64;
/** A stream that gives too few frames within this much more than what was asked for has dried up. */
const GRACE_SECONDS = 2;

interface Window {
	readonly collector: BaselineCollector;
	readonly seconds: number;
	readonly automatic: boolean;
	/** Every so many frames one is taken. */
	readonly every: number;
	frames: number;
	/** µs device time; NaN before the first frame. */
	begin: number;
	isFull: boolean;
}

interface Taking {
	readonly windows: Map<LiveBand, Window>;
	readonly endsAt: number;
	finish(result: Result<null, Fault>): void;
}

export function createBaselineTaking(clock: Clock, events: BaselineTakingEvents): BaselineTaking {
	const automatic = new Map<LiveBand, Window>();
	let unsteadyInARow = 0;
	let taking: Taking | null = null;

	function createWindow(band: LiveBand, seconds: number, isAutomatic: boolean): Window {
		const nReadings = band.pattern.terminals.length / 4;
		const most = Math.max(FEWEST_KEPT_FRAMES, Math.floor(MOST_VALUES / nReadings));
		const expected = seconds * band.meter.framesPerSecond(clock.now());
		return {
			collector: createBaselineCollector(nReadings, most),
			seconds,
			automatic: isAutomatic,
			every: Math.max(1, Math.ceil(expected / most)),
			frames: 0,
			begin: Number.NaN,
			isFull: false,
		};
	}

	/** @returns true once the window spans its time. */
	function fill(window: Window, frame: Frame): boolean {
		if (window.isFull) return true;
		if (Number.isNaN(window.begin)) window.begin = frame.timeMicros;
		if (window.frames % window.every === 0) window.collector.add(frame.values);
		window.frames++;
		window.isFull =
			(frame.timeMicros - window.begin) / 1e6 >= window.seconds &&
			window.collector.frames >= FEWEST_BASELINE_FRAMES;
		return window.isFull;
	}

	function publish(band: LiveBand, window: Window, rest: RestBaseline): void {
		events.onBaseline(band, {
			rest,
			configuration: band.configuration,
			takenAt: clock.now(),
			seconds: window.seconds,
			automatic: window.automatic,
			followedFrom: null,
		});
	}

	/** For all bands that give frames and have none yet, from the same time: see `finishTaking`. */
	function addAutomatic(band: LiveBand, frame: Frame): void {
		if (band.baseline !== null) return;
		let window = automatic.get(band);
		if (window === undefined) {
			window = createWindow(band, AUTOMATIC_SECONDS, true);
			automatic.set(band, window);
		}
		if (!fill(window, frame)) return;
		const isOverdue = (frame.timeMicros - window.begin) / 1e6 >= window.seconds + GRACE_SECONDS;
		for (const other of automatic.values()) if (!other.isFull && !isOverdue) return;
		const steady: [LiveBand, Window, RestBaseline][] = [];
		let isSteady = true;
		for (const [one, full] of automatic) {
			if (!full.isFull) continue;
			const outcome = full.collector.finish();
			if (outcome.ok) steady.push([one, full, outcome.value]);
			else isSteady = false;
		}
		// The next frames open the next windows.
		automatic.clear();
		unsteadyInARow = isSteady ? 0 : unsteadyInARow + 1;
		if (!isSteady && unsteadyInARow < MOST_UNSTEADY) return;
		for (const [one, full, rest] of steady) publish(one, full, rest);
	}

	/** All bands or none: pictures of two bands must not start from two rests. */
	function finishTaking(current: Taking): void {
		const taken: [LiveBand, Window, RestBaseline][] = [];
		for (const [band, window] of current.windows) {
			const outcome = window.collector.finish();
			if (!outcome.ok) {
				current.finish(failure(toFault(outcome.error, band)));
				return;
			}
			taken.push([band, window, outcome.value]);
		}
		for (const [band, window, rest] of taken) publish(band, window, rest);
		current.finish(success(null));
	}

	return {
		get secondsLeft() {
			if (taking === null) return null;
			return Math.max(0, Math.ceil((taking.endsAt - clock.now()) / 1000));
		},
		add(band, frame) {
			if (taking === null) {
				addAutomatic(band, frame);
				return;
			}
			const window = taking.windows.get(band);
			if (window === undefined || !fill(window, frame)) return;
			for (const other of taking.windows.values()) if (!other.isFull) return;
			finishTaking(taking);
		},
		take(bands, seconds, signal) {
			const cancelled = failure<Fault>({ kind: "cancelled" });
			if (signal?.aborted) return Promise.resolve(cancelled);
			taking?.finish(cancelled);
			return new Promise((resolve) => {
				const windows = new Map<LiveBand, Window>();
				for (const band of bands) windows.set(band, createWindow(band, seconds, false));
				const abort = (): void => current.finish(cancelled);
				const stopWaiting = clock.after(1000 * (seconds + GRACE_SECONDS), () => {
					// A band that gave nothing at all keeps nobody else waiting.
					for (const [band, window] of windows) if (window.collector.frames === 0) windows.delete(band);
					if (windows.size > 0) finishTaking(current);
					else current.finish(failure({ kind: "no-data", path: "the board" }));
				});
				const current: Taking = {
					windows,
					endsAt: clock.now() + 1000 * seconds,
					finish(result) {
						stopWaiting();
						signal?.removeEventListener("abort", abort);
						if (taking === current) taking = null;
						automatic.clear();
						events.onProgress();
						resolve(result);
					},
				};
				signal?.addEventListener("abort", abort, { once: true });
				taking = current;
				events.onProgress();
			});
		},
		interrupt(fault) {
			automatic.clear();
			unsteadyInARow = 0;
			taking?.finish(failure(fault));
		},
	};
}

function toFault(fault: BaselineFault, band: LiveBand): Fault {
	return fault.kind === "not-steady"
		? { kind: "baseline-not-steady", driftPercent: fault.driftPercent }
		: { kind: "no-data", path: `band ${band.bandIndex + 1}` };
}
