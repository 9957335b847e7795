/** Follows the slow drift of a live band's rest by its pictures' region means, once they come back from the worker. */
import type { RestBaseline } from "../../core/signal/baseline.ts";
import { createDriftFollower } from "../../core/signal/drift.ts";
import type { PicturePacket } from "../../core/wire/picture-packet.ts";
import type { LiveBaseline } from "./live-band.ts";
import type { ReadyModel } from "./model-slot.ts";

export interface RestFollowing {
	/** Another model's means, or those from another rest that was taken, are another's to follow. */
	isOf(model: ReadyModel, taken: LiveBaseline): boolean;
	/** @param ohm [nReadings] of a frame that was sent to be pictured; copied */
	sent(sequence: number, baselineId: number, ohm: Float64Array): void;
	/**
	 * @param baselineId in force for frames that are sent now: means from an earlier one are left aside
	 * @returns [nReadings] ohm, the rest that is to be counted from; null where it has not moved
	 */
	take(
		packet: Pick<PicturePacket, "sequence" | "timeMicros" | "regionMeans">,
		baselineId: number,
		mayFollow: boolean,
	): Float64Array | null;
}

/** Frames whose pictures have not come back: more than these are not waited for. */
const UNDER_WAY = 64;

/** @param current in force now, in the board's unit @param judged as in `DriftOptions` @param ohmPerUnit of that unit @param seconds of the picture next */
export function createRestFollowing(
	model: ReadyModel,
	taken: LiveBaseline,
	current: RestBaseline,
	judged: Uint32Array,
	ohmPerUnit: number,
	seconds: number,
): RestFollowing {
	const { regionNoise } = model.geometry;
	const known = regionNoise.filter((noise) => noise !== null && noise > 0) as number[];
	const follower =
		known.length === 0 || known.length < regionNoise.length
			? null
			: createDriftFollower({
					baseline: current.median.map((value) => value * ohmPerUnit),
					readingNoise: current.noise.map((value) => value * ohmPerUnit),
					judged,
					regionNoise: known,
					seconds,
				});
	const nReadings = current.median.length;
	const frames = Array.from({ length: UNDER_WAY }, () => ({
		sequence: -1,
		baselineId: 0,
		ohm: new Float64Array(nReadings),
	}));

	return {
		isOf: (otherModel, otherTaken) => otherModel === model && otherTaken === taken,
		sent(sequence, baselineId, ohm) {
			const frame = frames[sequence % UNDER_WAY]!;
			frame.sequence = sequence;
			frame.baselineId = baselineId;
			frame.ohm.set(ohm);
		},
		take({ sequence, timeMicros, regionMeans }, baselineId, mayFollow) {
			const frame = frames[sequence % UNDER_WAY]!;
			if (follower === null || frame.sequence !== sequence || frame.baselineId !== baselineId) return null;
			return follower.take(timeMicros / 1e6, frame.ohm, regionMeans, mayFollow)?.readings ?? null;
		},
	};
}
