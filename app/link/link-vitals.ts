import type { WireCounters } from "../../core/wire/board-parser.ts";
import type { Frame } from "../../core/wire/frame.ts";

/** A board talks at least once a second. */
const silenceMs = 3000;
/** While running, frames are missed after this or after five frame periods. */
const noFramesMs = 2000;
/** A device that talks but has not said one whole line of ours by now is something else. */
const foreignMs = 4000;
const foreignLines = 20;
/** Damaged lines that still end as ours do, by which a disturbed line is told from a foreign one: chance ends one line in
 *  a million so. */
const fewestAlike = 2;
/** Bad lines without a whole one between them that make a silence a disturbance. */
const fewestDamaged = 3;
/** Bytes that are kept to tell a wrong speed by. */
const sampleSize = 1024;

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
	/** Damaged lines of this connection that end as ours do. */
	#alike = 0;
	/** Bad lines since the last whole one. */
	#badSinceLine = 0;
	#listensFrom = 0;
	readonly #sample = new Uint8Array(sampleSize);
	#sampled = 0;

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
		this.#alike = 0;
		this.#badSinceLine = 0;
		this.#listensFrom = now;
		this.#sampled = 0;
	}

	heardBytes(chunk: Uint8Array): void {
		this.#bytes += chunk.length;
		if (this.#sampled === sampleSize) return;
		const part = chunk.subarray(0, sampleSize - this.#sampled);
		this.#sample.set(part, this.#sampled);
		this.#sampled += part.length;
	}

	heardLine(now: number): void {
		this.#lastLineAt = now;
		this.#badSinceLine = 0;
	}

	/** One that could not be used, without its LF. */
	heardBadLine(line: Uint8Array): void {
		this.#badSinceLine++;
		if (endsAsOurs(line)) this.#alike++;
	}

	/** Nobody could listen for a while: what waits at the port is heard first. */
	listensAgain(now: number): void {
		this.#listensFrom = now;
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
		return now - Math.max(this.#lastLineAt, this.#listensFrom) > silenceMs;
	}

	/** The first bytes of this connection. */
	get sample(): Uint8Array {
		return this.#sample.subarray(0, this.#sampled);
	}

	/** Lines of this connection: whole ones of ours, and those that could not be used. */
	get wholeLines(): number {
		return this.#counters.lines - this.#linesBefore;
	}
	get badLines(): number {
		return badLines(this.#counters) - this.#badBefore;
	}

	/** Whether lines of ours come, but more of them damaged than whole. */
	get isDisturbed(): boolean {
		return (this.hasLines || this.#alike >= fewestAlike) && this.badLines > this.wholeLines;
	}

	/** Whether a silence is none: only damaged lines have come since the last whole one. */
	get isDrowned(): boolean {
		return this.#badSinceLine >= fewestDamaged;
	}

	/** Whether what talks here can only be something else than a board of ours. */
	isForeign(now: number): boolean {
		if (this.#bytes === 0 || this.hasLines || this.#alike >= fewestAlike) return false;
		return now - this.#openedAt >= foreignMs || this.badLines >= foreignLines;
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

/** Whether it ends in a tilde and four upper-case hexadecimal digits, with or without CR. */
function endsAsOurs(line: Uint8Array): boolean {
	const end = line[line.length - 1] === 0x0d ? line.length - 1 : line.length;
	if (end < 6 || line[end - 5] !== 0x7e) return false;
	for (let at = end - 4; at < end; at++) {
		const byte = line[at]!;
		if (!((byte >= 0x30 && byte <= 0x39) || (byte >= 0x41 && byte <= 0x46))) return false;
	}
	return true;
}

function badLines({ bad }: WireCounters): number {
	let sum = 0;
	for (const count of Object.values(bad)) sum += count;
	return sum;
}
