/** What a set or a reference contraction was measured with, as columns of its row. */
import type { MeasuringConditions } from "../../core/exercise/progress.ts";

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
}

/** Named parameters for an INSERT, in the order of `conditionsColumns`. */
export const conditionsColumns = `band_id, band_level_fraction, first_electrode_deg, side, circumference_m, frequency_hz,
	current_ma, software_version, simulated`;
export const conditionsParameters = `@band_id, @band_level_fraction, @first_electrode_deg, @side, @circumference_m,
	@frequency_hz, @current_ma, @software_version, @simulated`;

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
	};
}

export function conditionsOf(row: ConditionsRow, referenceId: number | null): MeasuringConditions {
	return {
		bandId: row.band_id,
		bandLevel: row.band_level_fraction,
		firstElectrodeDegrees: row.first_electrode_deg,
		side: row.side,
		circumferenceMetre: row.circumference_m,
		referenceId,
		frequencyHertz: row.frequency_hz,
		currentMilliamp: row.current_ma,
		softwareVersion: row.software_version,
		simulated: row.simulated === 1,
	};
}
