/** What a session's pictures were made without, as it is kept among the session's events. */
import { z } from "zod";
import type { FaultSign } from "../../core/signal/electrode-watch.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { SessionEvent } from "./records.ts";

const signs = ["contact", "readings", "reciprocity", "noise", "signature"] as const satisfies FaultSign[];

/** Detail of a `left-out` event: holds for the band's frames from the event's ordinal on. Electrodes and readings count
 *  from 1. */
export const leftOutSchema = z.object({
	bandIndex: z.int().min(0),
	electrodes: z.array(
		z.object({ number: z.int().positive(), sign: z.enum(signs), isSinceRest: z.boolean() }).readonly(),
	),
	readings: z.array(z.int().positive()),
	readingsAtRest: z.array(z.int().positive()),
	/** As `LeftOut` has it. */
	wrongSeconds: z.number().min(0).default(0),
});

export type LeftOutRecord = z.infer<typeof leftOutSchema>;

/** @param before what was left out until now; null for nothing */
export function leftOutEvent(
	bandIndex: number,
	before: LeftOut | null,
	now: LeftOut,
): { readonly label: string; readonly detail: LeftOutRecord } {
	const detail: LeftOutRecord = {
		bandIndex,
		electrodes: now.electrodes.map(({ electrode, sign, isSinceRest }) => ({
			number: electrode + 1,
			sign,
			isSinceRest,
		})),
		readings: now.readings.map((reading) => reading + 1),
		readingsAtRest: now.readingsAtRest.map((reading) => reading + 1),
		wrongSeconds: now.wrongSeconds,
	};
	return { label: labelOf(before, now), detail };
}

export function leftOutParts(
	record: LeftOutRecord,
): Pick<LeftOut, "electrodes" | "readings" | "readingsAtRest"> {
	return {
		electrodes: record.electrodes.map(({ number, sign, isSinceRest }) => ({
			electrode: number - 1,
			sign,
			isSinceRest,
		})),
		readings: record.readings.map((reading) => reading - 1),
		readingsAtRest: record.readingsAtRest.map((reading) => reading - 1),
	};
}

/** In the events' order. What cannot be read is none of ours, and left aside. */
export function leftOutRecords(
	events: readonly SessionEvent[],
): { readonly ordinal: number; readonly record: LeftOutRecord }[] {
	return events.flatMap(({ kind, ordinal, detail }) => {
		if (kind !== "left-out") return [];
		const read = leftOutSchema.safeParse(detail);
		return read.success ? [{ ordinal, record: read.data }] : [];
	});
}

/** Empty where only other readings are at their limit than before: that may happen with every frame. */
function labelOf(before: LeftOut | null, now: LeftOut): string {
	const was = numbersOf(before);
	const is = numbersOf(now);
	const limited = (one: LeftOut | null): boolean => one !== null && one.readings.length > 0;
	return [
		electrodesText(
			is.filter((number) => !was.includes(number)),
			["is left out", "are left out"],
		),
		electrodesText(
			was.filter((number) => !is.includes(number)),
			["counts again", "count again"],
		),
		limited(now) && !limited(before) ? "Readings at their limit are left out" : "",
		limited(before) && !limited(now) ? "No reading is at its limit any more" : "",
	]
		.filter((part) => part !== "")
		.join(". ");
}

function numbersOf(leftOut: LeftOut | null): number[] {
	return leftOut?.electrodes.map(({ electrode }) => electrode + 1) ?? [];
}

function electrodesText(numbers: readonly number[], [one, many]: readonly [string, string]): string {
	if (numbers.length === 0) return "";
	return numbers.length === 1 ? `Electrode ${numbers[0]} ${one}` : `Electrodes ${numbers.join(", ")} ${many}`;
}
