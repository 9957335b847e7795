/** What a set or a reference is measured with, so that two of them are compared only where that makes sense. */
import { type MeasuringConditions, unsafeBetween } from "../../core/exercise/progress.ts";
import { type ReferenceTarget, withReferencesOf } from "../../core/exercise/reference-target.ts";
import { createOutline } from "../../core/limb/outline.ts";
import type { Result } from "../../core/result.ts";
import { success } from "../../core/result.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import type { Fault, ReferenceRecord } from "../contract.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { Measuring } from "./live-pictures.ts";
import type { LimbAndBand, PictureSettings } from "./set-up.ts";

/** Without a reference; the band gets a record of its own where it has none yet. */
export function conditionsOf(
	{ limb, band }: LimbAndBand,
	{ band: live, model }: Measuring,
	simulated: boolean,
	store: Pick<Store, "saveBand" | "wornBandId">,
): Result<MeasuringConditions, Fault> {
	const saved = store.saveBand(band);
	if (!saved.ok) return saved;
	// a band that is put on a few degrees off is stored anew, but it is the same band
	const worn = store.wornBandId(band);
	if (!worn.ok) return worn;
	return success({
		bandId: worn.value ?? saved.value,
		bandLevel: limb.level,
		firstElectrodeDegrees: band.firstElectrodeDegrees,
		side: limb.side,
		circumferenceMetre: createOutline(limb.outline).circumference,
		referenceId: null,
		hamstringReferenceId: null,
		drive: driveOf(live.configuration),
		regularisation: regularisationOf(model.geometry),
		frequencyHertz: live.configuration.frequencyHertz,
		currentMilliamp: live.configuration.currentMilliamp,
		softwareVersion: ALGORITHM_VERSION,
		simulated,
	});
}

/** How a drive is told from others in `MeasuringConditions`. */
export function driveOf({
	drive,
	terminals,
	readingCount,
}: Pick<DriveConfiguration, "drive" | "terminals" | "readingCount">): string {
	return `${drive} ${terminals} ${readingCount}`;
}

/** The same for how pictures are made. */
export function regularisationOf({ prior, rule, lambdaByHand, allowsMovement }: PictureSettings): string {
	const strength = typeof lambdaByHand !== "number" ? rule : `λ ${lambdaByHand}`;
	return `${prior} ${strength}${allowsMovement === true ? " movement" : ""}`;
}

/** Of each target the newest reference that was measured as is measured now; null for none: engagement is then no
 *  percentage. */
export type FittingReferences = Readonly<Record<ReferenceTarget, ReferenceRecord | null>>;

/** @param references newest first */
export function referencesFor(
	references: readonly ReferenceRecord[],
	now: MeasuringConditions,
	unit: ReferenceRecord["unit"],
): FittingReferences {
	const plain = withReferencesOf(now, []);
	const newest = (target: ReferenceTarget) =>
		references.find(
			(reference) =>
				reference.protocol.target === target &&
				reference.unit === unit &&
				unsafeBetween(withReferencesOf(reference.conditions, []), plain).length === 0,
		) ?? null;
	return { quadriceps: newest("quadriceps"), hamstrings: newest("hamstrings") };
}

/** What a set is measured with, references included. */
export function conditionsWith(
	conditions: MeasuringConditions,
	{ quadriceps, hamstrings }: FittingReferences,
): MeasuringConditions {
	return {
		...conditions,
		referenceId: quadriceps?.id ?? null,
		hamstringReferenceId: hamstrings?.id ?? null,
	};
}
