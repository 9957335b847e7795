import { blobOf } from "./typed-blob.ts";

/** Writes one row of `trends`; the blobs are views that hold only during the call. */
export type TrendRowWriter = (
	seriesId: number,
	batch: number,
	ordinals: Uint8Array,
	seconds: Uint8Array,
	means: Uint8Array,
) => void;

/** Region means of one series that wait for the next transaction, in memory that is allocated once. */
export class TrendBatch {
	readonly seriesId: number;
	readonly #regionCount: number;
	readonly #ordinals: Uint32Array;
	readonly #seconds: Float64Array;
	readonly #means: Float32Array;
	#count = 0;
	#written = 0;

	constructor(seriesId: number, regionCount: number, capacity: number) {
		this.seriesId = seriesId;
		this.#regionCount = regionCount;
		this.#ordinals = new Uint32Array(capacity);
		this.#seconds = new Float64Array(capacity);
		this.#means = new Float32Array(capacity * regionCount);
	}

	get count(): number {
		return this.#count;
	}

	get isFull(): boolean {
		return this.#count === this.#ordinals.length;
	}

	/** @throws RangeError for another number of regions than the series has, and when full. */
	add(ordinal: number, seconds: number, means: Float32Array): void {
		if (means.length !== this.#regionCount) {
			throw new RangeError(`trend: ${means.length} means for ${this.#regionCount} regions`);
		}
		if (this.isFull) throw new RangeError("trend batch: no room");
		this.#ordinals[this.#count] = ordinal;
		this.#seconds[this.#count] = seconds;
		this.#means.set(means, this.#count * this.#regionCount);
		this.#count++;
	}

	writeTo(write: TrendRowWriter): void {
		if (this.#count === 0) return;
		write(
			this.seriesId,
			this.#written,
			blobOf(this.#ordinals.subarray(0, this.#count)),
			blobOf(this.#seconds.subarray(0, this.#count)),
			blobOf(this.#means.subarray(0, this.#count * this.#regionCount)),
		);
	}

	/** After the row has been committed. */
	clear(): void {
		if (this.#count > 0) this.#written++;
		this.#count = 0;
	}
}
