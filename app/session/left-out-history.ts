/** What was left out frame by frame in a stored session, as it was found while it was measured. */
import { type LeftOut, leaveOut } from "../../core/signal/left-out.ts";
import { type LeftOutRecord, leftOutParts, leftOutRecords } from "../store/left-out-record.ts";
import type { SessionDetail, SessionEvent } from "../store/records.ts";

export interface LeftOutHistory {
	/** In the order of their ordinals. */
	readonly records: readonly { readonly ordinal: number; readonly record: LeftOutRecord }[];
	/** Null where nothing was. The same object for the same record. */
	at(bandIndex: number, ordinal: number): LeftOut | null;
}

export function createLeftOutHistory(
	{ configurations }: Pick<SessionDetail, "configurations">,
	events: readonly SessionEvent[],
): LeftOutHistory {
	const records = leftOutRecords(events).filter(({ record }) =>
		configurations.some(({ bandIndex }) => bandIndex === record.bandIndex),
	);
	const known = new Map<LeftOutRecord, LeftOut | null>();

	function read(record: LeftOutRecord): LeftOut | null {
		const parts = leftOutParts(record);
		const drive = configurations.find(({ bandIndex }) => bandIndex === record.bandIndex)!;
		const { electrodeCount, pattern: terminals } = drive;
		// a file from elsewhere may name what the band has not
		const fits =
			parts.electrodes.every(({ electrode }) => electrode < electrodeCount) &&
			[...parts.readings, ...parts.readingsAtRest].every((reading) => 4 * reading < terminals.length);
		return fits ? leaveOut({ terminals, electrodeCount }, parts, record.wrongSeconds) : null;
	}

	return {
		records,
		at(bandIndex, ordinal) {
			const found = records.findLast(
				(one) => one.record.bandIndex === bandIndex && one.ordinal <= ordinal,
			)?.record;
			if (found === undefined) return null;
			let leftOut = known.get(found);
			if (leftOut === undefined) {
				leftOut = read(found);
				known.set(found, leftOut);
			}
			return leftOut;
		},
	};
}
