/** When current and gain are set anew: when somebody asks, and by itself when readings clip or another limb or limit is
 *  set up. In the middle of a recording or of somebody's work it only proposes to. */
import type { BandDrive } from "../../core/signal/signal-check.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { CheckState, RangingCause } from "../contract.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Clock } from "./clock.ts";
import type { Live } from "./live.ts";
import type { LiveBand } from "./live-band.ts";
import { levelOf, type RangeFinder } from "./signal-check-ranging.ts";

export interface RangeKeeper {
	readonly state: CheckState["ranging"];
	/** For every frame that passes by. */
	onFrame(band: LiveBand, frame: Frame): void;
	/** All bands at once. @returns null when it was broken off */
	run(cause: RangingCause, signal?: AbortSignal): Promise<readonly BandDrive[] | null>;
	/** Runs when nobody would be disturbed, else proposes; nothing where no band lets itself be set. */
	want(cause: RangingCause): void;
	/** The link was broken off, or is to another board. */
	forget(): void;
}

export interface RangeKeeperParts {
	readonly clock: Clock;
	readonly live: Live;
	readonly finder: RangeFinder;
	/** Something goes on that another current or gain would spoil. */
	readonly isHeld: () => boolean;
	readonly onChange: () => void;
}

/** Clipping counts when it lasts, s of the board's time (our own choice). */
const CLIPS_FOR = 1;
/** Between two searches that clipping caused, ms: what did not help is not done all the time. */
const PAUSE_MS = 30_000;

export function createRangeKeeper({ clock, live, finder, isHeld, onChange }: RangeKeeperParts): RangeKeeper {
	/** How long each band has been clipping, s, and the time of its newest frame, s. */
	const clipping = new Map<number, { seconds: number; at: number }>();
	let running: AbortController | null = null;
	let proposal: RangingCause | null = null;
	let last: CheckState["ranging"]["last"] = null;
	let mayClipAgainAt = 0;

	async function run(cause: RangingCause, outer?: AbortSignal): Promise<readonly BandDrive[] | null> {
		running?.abort();
		const own = new AbortController();
		running = own;
		proposal = null;
		clipping.clear();
		onChange();
		const signal = outer === undefined ? own.signal : AbortSignal.any([own.signal, outer]);
		const found = await Promise.all(
			[...live.bands.keys()].map((bandIndex) => finder.range(bandIndex, signal)),
		);
		if (running === own) running = null;
		clipping.clear();
		mayClipAgainAt = clock.now() + PAUSE_MS;
		const bands = found.filter((band) => band !== null);
		if (!signal.aborted && bands.length > 0) last = { cause, at: toRfc3339(clock.now()), bands };
		onChange();
		return signal.aborted || bands.length < found.length || bands.length === 0 ? null : bands;
	}

	function want(cause: RangingCause): void {
		if (running !== null || live.abilities.size === 0 || live.linkState.state !== "streaming") return;
		if (!isHeld()) {
			void run(cause);
			return;
		}
		if (proposal === cause) return;
		proposal = cause;
		onChange();
	}

	return {
		get state() {
			return { isRunning: running !== null, proposal, last };
		},
		onFrame(band, frame) {
			const isClipped = band.saturatedShare > 0 && levelOf(band, frame.values).clipped > 0;
			const known = clipping.get(band.bandIndex);
			if (known === undefined && !isClipped) return;
			const now = frame.timeMicros / 1e6;
			const own = known ?? { seconds: 0, at: now };
			const step = Math.min(0.5, Math.max(0, now - own.at));
			own.at = now;
			own.seconds = Math.max(0, own.seconds + (isClipped ? step : -step));
			clipping.set(band.bandIndex, own);
			if (own.seconds < CLIPS_FOR || running !== null || clock.now() < mayClipAgainAt) return;
			own.seconds = 0;
			want("clipping");
		},
		run,
		want,
		forget() {
			running?.abort();
			running = null;
			proposal = null;
			last = null;
			mayClipAgainAt = 0;
			clipping.clear();
		},
	};
}
