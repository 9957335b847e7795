/** What a set or a reference contraction was measured with, as columns of its row. */
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import type { ReferenceIds } from "../../core/exercise/reference-target.ts";

export interface ConditionsRow {
	readonly band_id: number;
	readonly band_level_fraction: number;
	readonly first_electrode_deg: number;
	readonly side: "left" | "right";
	readonly circumference_m: number;
	readonly frequency_hz: number;
	readonly current_ma: number;
	readonly software_version: string;
	readonly simulated: number;
	readonly drive: string | null;
	readonly regularisation: string | null;
}

/** Named parameters for an INSERT, in the order of `conditionsColumns`. */
export const conditionsColumns = `band_id, band_level_fraction, first_electrode_deg, side, circumference_m, frequency_hz,
	current_ma, software_version, simulated, drive, regularisation`;
export const conditionsParameters = `@band_id, @band_level_fraction, @first_electrode_deg, @side, @circumference_m,
	@frequency_hz, @current_ma, @software_version, @simulated, @drive, @regularisation`;

export function conditionsRow(conditions: MeasuringConditions): ConditionsRow {
	return {
		band_id: conditions.bandId,
		band_level_fraction: conditions.bandLevel,
		first_electrode_deg: conditions.firstElectrodeDegrees,
		side: conditions.side,
		circumference_m: conditions.circumferenceMetre,
		frequency_hz: conditions.frequencyHertz,
		current_ma: conditions.currentMilliamp,
		software_version: conditions.softwareVersion,
		simulated: conditions.simulated ? 1 : 0,
		drive: conditions.drive,
		regularisation: conditions.regularisation,
	};
}

export function conditionsOf(row: ConditionsRow, ids: ReferenceIds): MeasuringConditions {
	return {
		bandId: row.band_id,
		bandLevel: row.band_level_fraction,
		firstElectrodeDegrees: row.first_electrode_deg,
		side: row.side,
		circumferenceMetre: row.circumference_m,
		referenceId: ids.referenceId,
		hamstringReferenceId: ids.hamstringReferenceId,
		drive: row.drive,
		regularisation: row.regularisation,
		frequencyHertz: row.frequency_hz,
		currentMilliamp: row.current_ma,
		softwareVersion: row.software_version,
		simulated: row.simulated === 1,
	};
}
