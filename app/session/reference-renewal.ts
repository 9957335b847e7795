/** Which of a person's reference contractions are to be taken anew, and why. */
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { reasonsToRenew } from "../../core/exercise/reference-age.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { type Result, success } from "../../core/result.ts";
import type { Fault, PersonRecord } from "../contract.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { Live } from "./live.ts";
import { driveOf, regularisationOf } from "./measuring-conditions.ts";
import type { SetUp } from "./set-up.ts";

export interface RenewalParts {
	readonly setUp: SetUp;
	readonly live: Live;
	readonly store: Store;
	/** ms since the epoch */
	readonly now: number;
}

const DAY_MS = 86_400_000;

/** Of each leg and each target the newest alone: older ones are history. */
export function renewalsOf(
	record: Omit<PersonRecord, "renewals">,
	parts: RenewalParts,
): Result<PersonRecord["renewals"], Fault> {
	const { references } = record;
	const newest = references.filter(
		({ conditions, protocol }, i) =>
			references.findIndex(
				(other) => other.conditions.side === conditions.side && other.protocol.target === protocol.target,
			) === i,
	);
	const renewals: PersonRecord["renewals"][number][] = [];
	for (const { id, takenAt, conditions } of newest) {
		const present = presentConditions(record, conditions, parts);
		if (!present.ok) return present;
		const ageDays = (parts.now - Date.parse(takenAt)) / DAY_MS;
		const reasons = reasonsToRenew(conditions, ageDays, present.value);
		if (reasons.length > 0) renewals.push({ referenceId: id, reasons });
	}
	return success(renewals);
}

/** What that leg would be measured with now: its newest measures; the band, the drive and how pictures are made where the
 *  set-up is this person's. */
function presentConditions(
	{ person, limbs }: Omit<PersonRecord, "renewals">,
	{ side, simulated }: MeasuringConditions,
	{ setUp, live, store }: RenewalParts,
): Result<Partial<MeasuringConditions>, Fault> {
	const limb = limbs.find(({ setup }) => setup.side === side)?.setup;
	const ofLimb: Partial<MeasuringConditions> =
		limb === undefined
			? {}
			: { bandLevel: limb.level, circumferenceMetre: createOutline(limb.outline).circumference };
	const ofSoftware = {
		regularisation: regularisationOf(setUp.pictureSettings),
		softwareVersion: ALGORITHM_VERSION,
	};
	if (setUp.person?.id !== person.id) return success({ ...ofLimb, ...ofSoftware });
	const { band } = setUp.limbAndBand;
	const bandId = store.wornBandId(band);
	if (!bandId.ok) return bandId;
	const ofBand = {
		firstElectrodeDegrees: band.firstElectrodeDegrees,
		// one that was never measured with is another one
		bandId: bandId.value ?? -1,
	};
	// The simulated band that the app begins with says nothing about the board that a reference was taken with.
	const drive = live.isSimulated === simulated ? live.drive : null;
	const ofDrive: Partial<MeasuringConditions> =
		drive === null
			? {}
			: {
					drive: driveOf(drive),
					frequencyHertz: drive.frequencyHertz,
					currentMilliamp: drive.currentMilliamp,
				};
	return success({ ...ofLimb, ...ofSoftware, ...ofBand, ...ofDrive });
}
