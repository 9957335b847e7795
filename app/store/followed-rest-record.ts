/** Which of a session's rest baselines followed a drift and were not taken, as it is kept among the session's events. */
import { z } from "zod";
import type { SessionEvent, StoredBaseline } from "./records.ts";

const followedRestSchema = z.object({ bandIndex: z.int().min(0), fromOrdinal: z.int().min(0) });
const LABEL = "rest followed";

/** @param fromOrdinal of the baseline that followed */
export function followedRestEvent(
	bandIndex: number,
	fromOrdinal: number,
): { readonly label: string; readonly detail: z.infer<typeof followedRestSchema> } {
	return { label: LABEL, detail: { bandIndex, fromOrdinal } };
}

/** Tells of the session's baselines whether they followed. */
export function followedRests(
	events: readonly SessionEvent[],
): (baseline: Pick<StoredBaseline, "bandIndex" | "fromOrdinal">) => boolean {
	const found = new Set<string>();
	for (const { kind, label, detail } of events) {
		if (kind !== "status" || label !== LABEL) continue;
		const read = followedRestSchema.safeParse(detail);
		if (read.success) found.add(`${read.data.bandIndex} ${read.data.fromOrdinal}`);
	}
	return ({ bandIndex, fromOrdinal }) => found.has(`${bandIndex} ${fromOrdinal}`);
}
