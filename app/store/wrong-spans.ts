/** Spans of a stored session whose pictures and means are wrong: an electrode failed and had not been found yet. */
import { type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { LeftOutRecord } from "./left-out-record.ts";
import type { StoredFrame } from "./records.ts";
import type { Store } from "./store.ts";

export interface WrongSpan {
	readonly bandIndex: number;
	/** Numbers, from 1, of the electrodes that were found at its end. */
	readonly electrodes: readonly number[];
	/** Session time, µs. */
	readonly fromMicros: number;
	/** Of the first frame that is right again. */
	readonly toMicros: number;
}

/** @param records in the order of their ordinals */
export function readWrongSpans(
	store: Pick<Store, "readFrames">,
	sessionId: number,
	records: readonly { readonly ordinal: number; readonly record: LeftOutRecord }[],
): Result<readonly WrongSpan[], Fault> {
	const spans: WrongSpan[] = [];
	for (const { ordinal, record } of records) {
		if (record.wrongSeconds === 0) continue;
		const read = store.readFrames(sessionId, ordinal, 1);
		if (!read.ok) return read;
		const frame = read.value[0];
		if (frame === undefined) continue;
		spans.push({
			bandIndex: record.bandIndex,
			electrodes: record.electrodes.map(({ number }) => number),
			fromMicros: frame.sessionMicros - 1e6 * record.wrongSeconds,
			toMicros: frame.sessionMicros,
		});
	}
	return success(spans);
}

/** Null where the frame is not in any. */
export function wrongSpanOf(
	spans: readonly WrongSpan[],
	{ bandIndex, sessionMicros }: Pick<StoredFrame, "bandIndex" | "sessionMicros">,
): WrongSpan | null {
	// the time of a frame is in whole microseconds
	return (
		spans.find(
			(span) =>
				span.bandIndex === bandIndex &&
				sessionMicros >= span.fromMicros - 0.5 &&
				sessionMicros < span.toMicros,
		) ?? null
	);
}
