import type { Frame } from "../../core/wire/frame.ts";
import { largestBlobBytes, writeReadings } from "./reading-blob.ts";

/** What a row of `frames` takes, in the order of its columns. */
export type FrameRowWriter = (
	ordinal: number,
	bandIndex: number,
	sequence: number,
	timeMicros: number,
	receivedAt: number,
	lostBefore: number,
	configurationId: number,
	quality: number,
	readings: Uint8Array,
) => void;

/**
 * Frames that wait for the next transaction, packed into memory that is allocated once. The limit is the arena: a
 * frame that does not fit is refused, never put in the place of an older one. 8 MiB hold about ten minutes of 208
 * counts at 30 frames/s, or nine seconds of the most that four bands of 928 float64 readings can send.
 */
export class FrameBatch {
	readonly #bytes: Uint8Array;
	readonly #view: DataView;
	readonly #offsets: Uint32Array;
	readonly #ordinals: Float64Array;
	readonly #bands: Uint8Array;
	readonly #sequences: Float64Array;
	readonly #times: Float64Array;
	readonly #received: Float64Array;
	readonly #lost: Float64Array;
	readonly #configurations: Uint32Array;
	readonly #qualities: Float64Array;
	#count = 0;

	constructor(capacityBytes: number, capacityFrames: number) {
		this.#bytes = new Uint8Array(capacityBytes);
		this.#view = new DataView(this.#bytes.buffer);
		this.#offsets = new Uint32Array(capacityFrames + 1);
		this.#ordinals = new Float64Array(capacityFrames);
		this.#bands = new Uint8Array(capacityFrames);
		this.#sequences = new Float64Array(capacityFrames);
		this.#times = new Float64Array(capacityFrames);
		this.#received = new Float64Array(capacityFrames);
		this.#lost = new Float64Array(capacityFrames);
		this.#configurations = new Uint32Array(capacityFrames);
		this.#qualities = new Float64Array(capacityFrames);
	}

	get count(): number {
		return this.#count;
	}

	hasRoomFor(readingCount: number): boolean {
		return (
			this.#count < this.#ordinals.length &&
			this.#offsets[this.#count]! + largestBlobBytes(readingCount) <= this.#bytes.length
		);
	}

	/** Copies the frame. @throws RangeError without room: ask `hasRoomFor` first. */
	add(
		ordinal: number,
		frame: Frame,
		receivedAt: number,
		lostBefore: number,
		configurationId: number,
		quality: number,
	): void {
		if (!this.hasRoomFor(frame.values.length)) throw new RangeError("frame batch: no room");
		const at = this.#count;
		const offset = this.#offsets[at]!;
		this.#offsets[at + 1] = offset + writeReadings(frame.values, this.#view, offset);
		this.#ordinals[at] = ordinal;
		this.#bands[at] = frame.bandIndex;
		this.#sequences[at] = frame.sequence;
		this.#times[at] = frame.timeMicros;
		this.#received[at] = receivedAt;
		this.#lost[at] = lostBefore;
		this.#configurations[at] = configurationId;
		this.#qualities[at] = quality;
		this.#count = at + 1;
	}

	/** The readings are a view that holds only during the call. */
	writeTo(write: FrameRowWriter): void {
		for (let i = 0; i < this.#count; i++) {
			write(
				this.#ordinals[i]!,
				this.#bands[i]!,
				this.#sequences[i]!,
				this.#times[i]!,
				this.#received[i]!,
				this.#lost[i]!,
				this.#configurations[i]!,
				this.#qualities[i]!,
				this.#bytes.subarray(this.#offsets[i]!, this.#offsets[i + 1]!),
			);
		}
	}

	clear(): void {
		this.#count = 0;
	}
}
