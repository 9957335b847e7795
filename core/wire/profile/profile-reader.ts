import type { BadLineCause } from "../bad-line.ts";
import { createBadLineCounts } from "../bad-line.ts";
import { decodeBase64 } from "../base64.ts";
import type { WireCounters } from "../board-parser.ts";
import type { Frame } from "../frame.ts";
import { longestLine } from "../limits.ts";
import { type BoardProfile, configurationOf, patternOf, readingColumns } from "./board-profile.ts";
import { readDecimal } from "./decimal.ts";
import { signsOnDisc } from "./disc-signs.ts";
import { bytesOfText, FieldFinder, LineSplitter } from "./line-splitter.ts";
import { readPayload } from "./payload.ts";

const carriageReturn = 0x0d;
const microsOf = { s: 1e6, ms: 1e3, µs: 1 } as const;
/** A board's clock that goes back by more than this was started afresh; less is a late line. */
const disorderMicros = 1_000_000;
const microsRange = 2 ** 32;
/** More frames missing at once than this can only be a counter that was started afresh. */
const largestGap = 2 ** 20;

/** What comes of a line. */
type Outcome = BadLineCause | "frame" | "part" | "aside";

/**
 * Reads the lines of any board that a profile describes. Never throws on any bytes: what it cannot use it counts by
 * cause and skips. The frame that it hands out is its own and valid during the call only; a frame costs no allocation.
 */
export class ProfileReader {
	readonly counters: WireCounters = { lines: 0, frames: 0, lost: 0, bad: createBadLineCounts() };
	readonly #profile: BoardProfile;
	readonly #onFrame: (frame: Frame, lostBefore: number) => void;
	readonly #frame: { -readonly [K in keyof Frame]: Frame[K] };
	readonly #signs: Int8Array | null;
	readonly #perLine: number;
	readonly #prefix: Uint8Array;
	readonly #comments: readonly Uint8Array[];
	readonly #mark: Uint8Array | null;
	readonly #splitter: LineSplitter;
	readonly #decimalMark: number;
	readonly #columns: readonly FieldFinder[];
	readonly #payload: FieldFinder | null;
	readonly #scratch = new Uint8Array(longestLine);
	readonly #row: FieldFinder | null;
	readonly #sequence: FieldFinder | null;
	readonly #time: FieldFinder | null;

	/** The next line of the frame that is being put together; -1 when its beginning was missed. */
	#nextRow = -1;
	#isJoining: boolean = true;
	#lastSequence = -1;
	#lastRawMicros = Number.NaN;
	#lastArrival = Number.NaN;
	/** Frames that were given up since the last whole one. */
	#incompleteFrames = 0;
	/** Missing in front of the frame that is being put together. */
	#pendingLost = 0;

	constructor(profile: BoardProfile, onFrame: (frame: Frame, lostBefore: number) => void) {
		const { readingCount, electrodeCount } = configurationOf(profile);
		const { line, readings, frame, sequence, time } = profile;
		this.#profile = profile;
		this.#onFrame = onFrame;
		this.#frame = {
			bandIndex: 0,
			sequence: 0,
			timeMicros: 0,
			configuration: 0,
			values: new Float64Array(readingCount),
		};
		this.#perLine = readingCount / frame.lines;
		this.#signs = profile.value.isMagnitude
			? signsOnDisc(patternOf(profile).terminals, electrodeCount)
			: null;
		this.#prefix = bytesOfText(profile.prefix);
		this.#comments = profile.comments.map(bytesOfText);
		this.#mark = frame.mark === null ? null : bytesOfText(frame.mark);
		this.#splitter = new LineSplitter(line);
		this.#decimalMark = (line.hasDecimalComma ? "," : ".").charCodeAt(0);
		this.#columns = readingColumns(profile).map((column) => new FieldFinder(column));
		this.#payload = readings.kind === "base64" ? new FieldFinder(readings.column) : null;
		this.#row = frame.row === null ? null : new FieldFinder(frame.row);
		this.#sequence = sequence === null ? null : new FieldFinder(sequence.column);
		this.#time = time === null ? null : new FieldFinder(time.column);
	}

	/** The link was opened anew: the first line may be a tail, and the board's counters may have begun afresh. */
	restart(): void {
		this.#isJoining = true;
		this.#nextRow = -1;
		this.#lastSequence = -1;
		this.#lastRawMicros = Number.NaN;
	}

	/** Takes one line without its LF. `arrivalMicros`: when it came, by a clock that never goes back. */
	parse(line: Uint8Array, arrivalMicros: number): void {
		const outcome = this.#read(line, arrivalMicros);
		const isFirst = this.#isJoining;
		if (outcome !== "aside") this.#isJoining = false;
		switch (outcome) {
			case "frame":
			case "part":
				this.counters.lines++;
				return;
			case "aside":
				return;
			default:
				// The first line may be the tail of one that began before: nobody's fault.
				if (!isFirst) this.counters.bad[outcome]++;
		}
	}

	#read(line: Uint8Array, arrivalMicros: number): Outcome {
		let end = line.length;
		if (end >= longestLine) return "too-long";
		if (end > 0 && line[end - 1] === carriageReturn) end--;
		if (end === 0) return "aside";
		for (const comment of this.#comments) if (begins(line, end, comment)) return "aside";
		if (this.#mark !== null && begins(line, end, this.#mark)) {
			this.#begin();
			return "aside";
		}
		if (!begins(line, end, this.#prefix)) return "unknown-type";
		if (!this.#splitter.split(line, this.#prefix.length, end)) return "wrong-count";
		return this.#readRow(line, arrivalMicros);
	}

	/** A frame begins; one that is not whole yet never will be. */
	#begin(): void {
		if (this.#nextRow > 0) {
			this.counters.bad["wrong-count"]++;
			this.#incompleteFrames++;
		}
		this.#nextRow = 0;
	}

	#readRow(line: Uint8Array, arrivalMicros: number): Outcome {
		const { frame: shape } = this.#profile;
		if (shape.lines === 1) this.#nextRow = 0;
		else if (this.#row !== null) {
			const row = this.#number(this.#row, line) - shape.firstRow;
			if (!(Number.isInteger(row) && row >= 0 && row < shape.lines))
				return Number.isNaN(row) ? "bad-field" : "out-of-range";
			if (row === 0) this.#begin();
			// A line is missing in between: what is there of the frame is of no use.
			else if (row !== this.#nextRow) {
				if (this.#nextRow > 0) {
					this.#incompleteFrames++;
					this.#nextRow = -1;
					return "wrong-count";
				}
				return "aside";
			}
		}
		const row = this.#nextRow;
		if (row < 0 || row >= shape.lines) return "aside";
		const fault = this.#readValues(line, row * this.#perLine);
		if (fault !== null) {
			if (shape.lines > 1) this.#incompleteFrames++;
			this.#nextRow = -1;
			return fault;
		}
		if (row === 0) {
			const header = this.#readHeader(line, arrivalMicros);
			if (header !== null) {
				this.#nextRow = -1;
				return header;
			}
		}
		this.#nextRow = row + 1;
		if (this.#nextRow < shape.lines) return "part";
		this.#nextRow = -1;
		this.#tell();
		return "frame";
	}

	/** Sequence and time, from a frame's first line. */
	#readHeader(line: Uint8Array, arrivalMicros: number): BadLineCause | null {
		const { sequence, time } = this.#profile;
		const told = this.#sequence === null ? null : this.#number(this.#sequence, line);
		const clock = this.#time === null ? null : this.#number(this.#time, line);
		if (Number.isNaN(told) || Number.isNaN(clock)) return "bad-field";
		this.#pendingLost = 0;
		if (told !== null) {
			const modulus = sequence!.modulus;
			if (!(Number.isInteger(told) && told >= 0 && told < modulus)) return "out-of-range";
			const ahead = (((told - this.#lastSequence) % modulus) + modulus) % modulus;
			if (this.#lastSequence >= 0 && ahead === 0) return "repeated";
			if (this.#lastSequence >= 0 && ahead - 1 <= Math.min(largestGap, modulus / 2))
				this.#pendingLost = ahead - 1;
			this.#lastSequence = told;
			this.#frame.sequence = told;
		} else {
			this.#pendingLost = this.#incompleteFrames;
			this.#frame.sequence = (this.#frame.sequence + 1 + this.#incompleteFrames) % 2 ** 32;
		}
		this.#incompleteFrames = 0;
		this.#keepTime(clock === null ? null : clock * microsOf[time!.unit], arrivalMicros);
		return null;
	}

	/** Takes the frame's time on: by the board's clock where it has one and has not begun afresh, else by arrival. */
	#keepTime(raw: number | null, arrivalMicros: number): void {
		const sinceArrival = Number.isNaN(this.#lastArrival) ? 0 : Math.max(0, arrivalMicros - this.#lastArrival);
		let step = sinceArrival;
		if (raw !== null) {
			step = Number.isNaN(this.#lastRawMicros) ? sinceArrival : raw - this.#lastRawMicros;
			const hasWrapped = step < -microsRange / 2 && this.#profile.time?.unit === "µs";
			if (hasWrapped) step += microsRange;
			else if (step < -disorderMicros) step = sinceArrival;
			this.#lastRawMicros = raw;
		}
		const isFirst = Number.isNaN(this.#lastArrival);
		this.#lastArrival = arrivalMicros;
		const begin = raw === null ? arrivalMicros : Math.max(0, raw);
		const next = isFirst ? begin : this.#frame.timeMicros + Math.max(0, step);
		this.#frame.timeMicros = Math.min(Number.MAX_SAFE_INTEGER, Math.round(next));
	}

	#readValues(line: Uint8Array, offset: number): BadLineCause | null {
		const { values } = this.#frame;
		if (this.#payload !== null) return this.#readPayload(line, offset);
		const columns = this.#columns;
		for (let i = 0; i < columns.length; i++) {
			const field = columns[i]!.find(this.#splitter);
			if (field < 0) return "wrong-count";
			const value = readDecimal(
				line,
				this.#splitter.start(field),
				this.#splitter.end(field),
				this.#decimalMark,
			);
			if (Number.isNaN(value)) return "bad-payload";
			values[offset + i] = value;
		}
		return null;
	}

	#readPayload(line: Uint8Array, offset: number): BadLineCause | null {
		const { readings } = this.#profile;
		const field = this.#payload!.find(this.#splitter);
		if (field < 0 || readings.kind !== "base64") return "wrong-count";
		const size = decodeBase64(line, this.#splitter.start(field), this.#splitter.end(field), this.#scratch);
		if (size < 0) return "bad-payload";
		return readPayload(this.#scratch, size, readings, this.#frame.values, offset, this.#perLine);
	}

	#number(finder: FieldFinder, line: Uint8Array): number {
		const field = finder.find(this.#splitter);
		if (field < 0) return Number.NaN;
		return readDecimal(line, this.#splitter.start(field), this.#splitter.end(field), this.#decimalMark);
	}

	#tell(): void {
		const { values } = this.#frame;
		const signs = this.#signs;
		if (signs !== null) for (let i = 0; i < values.length; i++) values[i] = Math.abs(values[i]!) * signs[i]!;
		this.counters.frames++;
		this.counters.lost += this.#pendingLost;
		this.#onFrame(this.#frame, this.#pendingLost);
	}
}

function begins(line: Uint8Array, end: number, text: Uint8Array): boolean {
	if (text.length > end) return false;
	for (let i = 0; i < text.length; i++) if (line[i] !== text[i]) return false;
	return true;
}
