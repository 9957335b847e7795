/** What a set or a reference is measured with, so that two of them are compared only where that makes sense. */
import { type MeasuringConditions, unsafeBetween } from "../../core/exercise/progress.ts";
import { createOutline } from "../../core/limb/outline.ts";
import type { Result } from "../../core/result.ts";
import { success } from "../../core/result.ts";
import type { Fault, ReferenceRecord } from "../contract.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { Measuring } from "./live-pictures.ts";
import type { LimbAndBand } from "./set-up.ts";

/** Without a reference; the band gets a record of its own where it has none yet. */
export function conditionsOf(
	{ limb, band }: LimbAndBand,
	{ band: live }: Measuring,
	simulated: boolean,
	store: Pick<Store, "saveBand">,
): Result<MeasuringConditions, Fault> {
	const bandId = store.saveBand(band);
	if (!bandId.ok) return bandId;
	return success({
		bandId: bandId.value,
		bandLevel: limb.level,
		firstElectrodeDegrees: band.firstElectrodeDegrees,
		side: limb.side,
		circumferenceMetre: createOutline(limb.outline).circumference,
		referenceId: null,
		frequencyHertz: live.configuration.frequencyHertz,
		currentMilliamp: live.configuration.currentMilliamp,
		softwareVersion: ALGORITHM_VERSION,
		simulated,
	});
}

/** The newest reference that was measured as is measured now; null for none: engagement is then no percentage.
 *  @param references newest first */
export function referenceFor(
	references: readonly ReferenceRecord[],
	now: MeasuringConditions,
	unit: ReferenceRecord["unit"],
): ReferenceRecord | null {
	const fits = (reference: ReferenceRecord) =>
		reference.unit === unit &&
		unsafeBetween({ ...reference.conditions, referenceId: null }, { ...now, referenceId: null }).length === 0;
	return references.find(fits) ?? null;
}
