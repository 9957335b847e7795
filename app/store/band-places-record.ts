/** Where a session's bands sat along the limb, as it is kept among the session's events: what volumes need. */
import { z } from "zod";
import { type BandPlace, bandPlaceSchema } from "../contract.ts";
import type { SessionEvent } from "./records.ts";

const placesSchema = z.object({ places: z.array(bandPlaceSchema).min(1).max(4) });
const LABEL = "band places";

/** @param places one for each band, in their order */
export function bandPlacesEvent(places: readonly BandPlace[]): {
	readonly label: string;
	readonly detail: { readonly places: readonly BandPlace[] };
} {
	return { label: LABEL, detail: { places } };
}

/** @returns null where they were not known, or not yet kept when the session was recorded */
export function bandPlacesOf(events: readonly SessionEvent[]): readonly BandPlace[] | null {
	for (const { kind, label, detail } of events) {
		if (kind !== "status" || label !== LABEL) continue;
		const read = placesSchema.safeParse(detail);
		if (read.success) return read.data.places;
	}
	return null;
}
