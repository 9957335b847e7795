/** Region means of pictures: as they come, and as the app kept them. */
import { PictureFlags, type PicturePacket } from "../core/wire/picture-packet.ts";
import type { TrendRing } from "./draw/trend-ring.ts";

/** What lines are not drawn across. */
const brokenBy = PictureFlags.afterGap | PictureFlags.newRest | PictureFlags.followedRest;

export function addToTrends(ring: TrendRing | null, packet: PicturePacket): void {
	if (ring === null || packet.regionMeans.length !== ring.regionCount) return;
	const seconds = packet.timeMicros / 1e6;
	const isBackwards = ring.end > ring.first && seconds < ring.secondsAt(ring.end - 1);
	if ((packet.flags & PictureFlags.restart) !== 0 || isBackwards) ring.clear();
	else if ((packet.flags & brokenBy) !== 0) ring.pushGap();
	ring.push(seconds, packet.regionMeans);
}

/** Puts what the app kept before what came after its end.
 *  @param values a list for each of the ring's regions, as long as `seconds` */
export function fillTrends(
	ring: TrendRing,
	seconds: readonly number[],
	values: readonly (readonly (number | null)[])[],
): void {
	// What arrived while the answer was under way is in the answer too, or comes after its end.
	const last = seconds.at(-1) ?? Number.NEGATIVE_INFINITY;
	const later: { seconds: number; means: Float64Array }[] = [];
	for (let s = ring.sampleAt(last); s < ring.end; s++) {
		if (ring.secondsAt(s) <= last) continue;
		const means = new Float64Array(ring.regionCount);
		for (let r = 0; r < means.length; r++) means[r] = ring.valueAt(r, s);
		later.push({ seconds: ring.secondsAt(s), means });
	}
	ring.clear();
	const row = new Float64Array(ring.regionCount);
	for (let i = 0; i < seconds.length; i++) {
		for (let r = 0; r < row.length; r++) row[r] = values[r]![i] ?? Number.NaN;
		ring.push(seconds[i]!, row);
	}
	for (const sample of later) ring.push(sample.seconds, sample.means);
}
