/** What a frame's sequence number says against the one before it. */
export type SequenceStep = "first" | "next" | "repeated" | "restarted";

/** Frames that may go missing in one gap and still be called a gap: nine hours at 30 frames a second. A larger
 *  jump, or one backwards, can only be a board that counts afresh. */
export const largestGap = 2 ** 20;

/** Follows the sequence numbers of one band, which count modulo 2³². Allocates nothing. */
export class SequenceTracker {
	#last = -1;
	/** Frames missing just before the latest one. */
	lostBefore = 0;

	/** Takes the next number; `sameTime` tells whether the frame also carries the device time of the one before. */
	step(sequence: number, sameTime: boolean): SequenceStep {
		const last = this.#last;
		this.lostBefore = 0;
		if (last < 0) {
			this.#last = sequence;
			return "first";
		}
		const ahead = (sequence - last) >>> 0;
		if (ahead === 0 && sameTime) return "repeated";
		this.#last = sequence;
		if (ahead === 0 || ahead - 1 > largestGap) return "restarted";
		this.lostBefore = ahead - 1;
		return "next";
	}

	restart(): void {
		this.#last = -1;
		this.lostBefore = 0;
	}
}
