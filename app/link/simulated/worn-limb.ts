import type { ReadingPattern } from "../../../core/band/band.ts";

/** What one simulated band is strapped to. */
export interface WornLimb {
	/** Of the band. */
	readonly electrodeCount: number;
	/** [nMuscles] S/m at rest and at `modelHertz`. */
	readonly restOfMuscles: Float64Array;
	/** [nMuscles] change at full engagement, S/m. */
	readonly fullChange: Float64Array;
	/** [electrodeCount] Ω·m² at rest and at `modelHertz`. */
	readonly restContact: Float64Array;
	/** Area of an electrode, m². */
	readonly electrodeArea: number;
	/** What the band drives and reads, over the electrodes of `transferInto`'s matrix. */
	readonly pattern: ReadingPattern;
	/** The same as the board lists it; null where it has a name. */
	readonly listed: Uint16Array | null;
	/** [pattern.electrodeCount] Ω·m², of the matrix that was computed last. */
	readonly contacts: Float64Array;
	/**
	 * @param movedMetre how far the band has slipped around the limb or, on one under several bands, a band has slid along it
	 * @param change [nMuscles] S/m
	 * @param contact [electrodeCount] Ω·m²
	 * @param transfer [pattern.electrodeCount²] V/A per metre of `effectiveHeightMetre`, overwritten
	 */
	transferInto(change: Float64Array, contact: Float64Array, movedMetre: number, transfer: Float64Array): void;
}
