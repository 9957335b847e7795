import type { LeftOut } from "../../core/signal/left-out.ts";
import type { LiveBand } from "./live-band.ts";

/** What the bands of a board are to do without, together. */
export interface JoinedTrust {
	/** Looks whether that has changed since the last call. Allocates nothing where it has not. */
	hasChanged(): boolean;
	/** [nReadings] share of its information that each reading keeps; null where all keep all. */
	kept(): Float64Array | null;
}

/** @param bands in the order of their readings */
export function createJoinedTrust(bands: readonly LiveBand[]): JoinedTrust {
	const seen: (LeftOut | null)[] = bands.map(() => null);
	return {
		hasChanged() {
			let isOther = false;
			for (let b = 0; b < bands.length; b++) {
				const { leftOut } = bands[b]!.watch;
				if (seen[b] === leftOut) continue;
				seen[b] = leftOut;
				isOther = true;
			}
			return isOther;
		},
		kept() {
			if (seen.every((leftOut) => leftOut === null || leftOut.kept === null)) return null;
			const all: number[] = [];
			for (const [b, leftOut] of seen.entries()) {
				const { readingCount } = bands[b]!.configuration;
				for (let i = 0; i < readingCount; i++) all.push(leftOut?.kept?.[i] ?? 1);
			}
			return Float64Array.from(all);
		},
	};
}
