import { z } from "zod";
import { type InvalidInput, readAs } from "../invalid-input.ts";
import type { Result } from "../result.ts";

/** Counts of a set. */
const countSchema = z
	.object({
		full: z.int("a whole number").min(0, "at least 0").max(1000, "at most 1000"),
		partial: z.int("a whole number").min(0, "at least 0").max(1000, "at most 1000"),
	})
	.readonly();

/** What a person says it was. Kept beside what the counter said, never instead of it. */
export const countCorrectionSchema = z
	.object({
		count: countSchema,
		by: z.enum(["patient", "clinician"], "patient or clinician"),
		/** RFC 3339 with offset. */
		at: z.string("a time").refine(isTime, "a time such as 2025-03-04T09:15:30+01:00"),
		reason: z.string().max(300, "at most 300 characters"),
	})
	.readonly();

export const setCountSchema = z
	.object({
		/** Null where nothing was measured. */
		automatic: countSchema.nullable(),
		/** Counted by the person or by time during the set, where nothing was measured; else null. */
		personal: countSchema.nullable(),
		/** Every correction in the order made; the last one holds. */
		corrections: z.array(countCorrectionSchema).max(50, "at most 50 corrections").readonly(),
	})
	.readonly();

export type RepetitionCount = z.infer<typeof countSchema>;
export type CountCorrection = z.infer<typeof countCorrectionSchema>;
export type SetCount = z.infer<typeof setCountSchema>;

export function readSetCount(input: unknown): Result<SetCount, InvalidInput> {
	return readAs(setCountSchema, input);
}

/** A count with one more correction; the automatic count stays. */
export function correctCount(set: SetCount, correction: CountCorrection): Result<SetCount, InvalidInput> {
	return readSetCount({ ...set, corrections: [...set.corrections, correction] });
}

/** The count that holds: the latest correction, else the automatic one, else the person's; null where none is known. */
export function countThatHolds(set: SetCount): RepetitionCount | null {
	return set.corrections.at(-1)?.count ?? set.automatic ?? set.personal;
}

function isTime(text: string): boolean {
	return /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})$/.test(text);
}
