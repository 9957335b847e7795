/** What is to be known about the lines of a stored session, by band. */
import { type Result, success } from "../../core/result.ts";
import type { Fault, TrendMarks } from "../contract.ts";
import { followedRests } from "../store/followed-rest-record.ts";
import type { SessionDetail, SessionEvent, StoredBaseline } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import type { LeftOutHistory } from "./left-out-history.ts";
import { createTrendMarking, type TrendMarking } from "./trend-marks.ts";

export function readTrendMarks(
	store: Store,
	{ summary }: SessionDetail,
	baselines: readonly StoredBaseline[],
	history: LeftOutHistory,
	events: readonly SessionEvent[],
): Result<ReadonlyMap<number, TrendMarks>, Fault> {
	const found = new Map<number, TrendMarking>();
	const markingOf = (bandIndex: number): TrendMarking => {
		const marking = found.get(bandIndex) ?? createTrendMarking();
		found.set(bandIndex, marking);
		return marking;
	};
	const secondsAt = (ordinal: number): Result<number, Fault> => {
		const frame = store.readFrames(summary.id, ordinal, 1);
		if (!frame.ok) return frame;
		return success((frame.value[0]?.sessionMicros ?? 1e6 * summary.durationSeconds) / 1e6);
	};
	for (const { ordinal, record } of history.records) {
		const leftOut = history.at(record.bandIndex, ordinal);
		const seconds = secondsAt(ordinal);
		if (!seconds.ok) return seconds;
		if (leftOut !== null) markingOf(record.bandIndex).leaveOut(seconds.value, leftOut);
	}
	const before = new Map<number, StoredBaseline>();
	const isFollowed = followedRests(events);
	for (const baseline of baselines) {
		const { bandIndex, fromOrdinal } = baseline;
		const previous = before.get(bandIndex);
		before.set(bandIndex, baseline);
		// before the first one there is no other that lines could be compared with; frames of a file that have other noise
		// than those before them may have the same rest
		if (previous === undefined || isSameRest(previous, baseline)) continue;
		const seconds = secondsAt(fromOrdinal);
		if (!seconds.ok) return seconds;
		if (isFollowed(baseline)) markingOf(bandIndex).followRest(seconds.value);
		else markingOf(bandIndex).takeRest(seconds.value);
	}
	return success(new Map([...found].map(([bandIndex, { marks }]) => [bandIndex, marks])));
}

function isSameRest({ median: a }: StoredBaseline, { median: b }: StoredBaseline): boolean {
	return a.length === b.length && a.every((value, r) => Object.is(value, b[r]));
}
