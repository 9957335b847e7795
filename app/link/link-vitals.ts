import type { WireCounters } from "../../core/wire/board-parser.ts";
import type { Frame } from "../../core/wire/frame.ts";

/** A board talks at least once a second. */
const silenceMs = 3000;
/** While running, frames are missed after this or after five frame periods. */
const noFramesMs = 2000;
/** A device that talks but has not said one whole line of ours by now is something else. */
const foreignMs = 4000;
const foreignLines = 20;

/** What has been heard on a connection, and since when not. All times in ms of the link's clock. */
export class LinkVitals {
	readonly #counters: WireCounters;
	#openedAt = 0;
	#bytes = 0;
	#linesBefore = 0;
	#badBefore = 0;
	#lastLineAt = 0;
	#lastFrameAt = 0;
	#lastFrameMicros = 0;
	#framePeriodMs = 0;
	#unknownSeen = 0;

	/** `counters` are those of the link's parser, which go on over connections. */
	constructor(counters: WireCounters) {
		this.#counters = counters;
	}

	opened(now: number): void {
		this.#openedAt = now;
		this.#lastLineAt = now;
		this.#bytes = 0;
		this.#linesBefore = this.#counters.lines;
		this.#badBefore = badLines(this.#counters);
	}

	heardBytes(count: number): void {
		this.#bytes += count;
	}

	heardLine(now: number): void {
		this.#lastLineAt = now;
	}

	heardFrame(frame: Frame, lostBefore: number, now: number): void {
		this.#lastFrameAt = now;
		// Bands keep one rate: the first tells it.
		if (frame.bandIndex !== 0) return;
		if (lostBefore === 0) this.#framePeriodMs = (frame.timeMicros - this.#lastFrameMicros) / 1000;
		this.#lastFrameMicros = frame.timeMicros;
	}

	/** Frames are expected from now on. */
	started(now: number): void {
		this.#lastFrameAt = now;
	}

	/** Since this connection was opened. */
	get bytes(): number {
		return this.#bytes;
	}

	/** Whether anything of ours has been heard on this connection. */
	get hasLines(): boolean {
		return this.#counters.lines !== this.#linesBefore;
	}

	sinceLine(now: number): number {
		return now - this.#lastLineAt;
	}

	isSilent(now: number): boolean {
		return this.sinceLine(now) > silenceMs;
	}

	/** Whether what talks here can only be something else than a board of ours. */
	isForeign(now: number): boolean {
		if (this.#bytes === 0 || this.hasLines) return false;
		return now - this.#openedAt >= foreignMs || badLines(this.#counters) - this.#badBefore >= foreignLines;
	}

	missesFrames(now: number): boolean {
		return now - this.#lastFrameAt > Math.max(noFramesMs, 5 * this.#framePeriodMs);
	}

	/** Whether frames came whose configuration is not known, since this was asked last. */
	missedSettings(): boolean {
		const unknown = this.#counters.bad["unknown-configuration"];
		const isMissing = unknown !== this.#unknownSeen;
		this.#unknownSeen = unknown;
		return isMissing;
	}
}

function badLines({ bad }: WireCounters): number {
	let sum = 0;
	for (const count of Object.values(bad)) sum += count;
	return sum;
}
