import { longestLine } from "./limits.ts";

const lineFeed = 0x0a;

/**
 * Keeps a stream of bytes without line ends from filling memory. Stands before whatever collects bytes into lines:
 * of each line only the first `longestLine` bytes pass, and its LF. A line cut so is one byte too long for the
 * parser, which counts it as `too-long`.
 */
export class LineCap {
	#length = 0;
	readonly #longest: number;

	constructor(longest = longestLine) {
		this.#longest = longest;
	}

	/** @returns the bytes that may pass: `chunk` itself when nothing has to be dropped, else a new array. */
	pass(chunk: Uint8Array): Uint8Array {
		let kept: Uint8Array | null = null;
		let keptLength = 0;
		let start = 0;
		while (start < chunk.length) {
			const feed = chunk.indexOf(lineFeed, start);
			const end = feed < 0 ? chunk.length : feed;
			const room = this.#longest - this.#length;
			const take = Math.min(end - start, room);
			if (take < end - start && kept === null) {
				kept = new Uint8Array(chunk.length);
				kept.set(chunk.subarray(0, start));
				keptLength = start;
			}
			if (kept !== null) {
				kept.set(chunk.subarray(start, start + take), keptLength);
				keptLength += take;
				if (feed >= 0) kept[keptLength++] = lineFeed;
			}
			this.#length = feed < 0 ? this.#length + take : 0;
			start = end + 1;
		}
		return kept === null ? chunk : kept.subarray(0, keptLength);
	}
}
