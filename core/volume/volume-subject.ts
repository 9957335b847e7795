import type { Band } from "../band/band.ts";
import { type PlacedElectrodes, placeElectrodes } from "../band/electrodes.ts";
import type { Limb, Side } from "../limb/limb.ts";
import { createOutline, type Outline } from "../limb/outline.ts";
import { createTaper, type TapeReading, type Taper } from "../limb/taper.ts";
import { restConductivity, typicalContactImpedance } from "../physics/tissue.ts";
import type { SubjectRegion } from "../picture/subject.ts";
import type { AxisBand } from "./axis-pieces.ts";

/** A band and where it sits along the limb. */
export interface VolumeBand {
	readonly band: Band;
	/** Middle of its electrodes, m along the limb as in the tape readings. */
	readonly z: number;
	/** Of its electrodes along the limb, m. */
	readonly electrodeHeight: number;
}

/** What a picture in three dimensions is taken of: one cross-section along a limb whose circumference changes. */
export interface VolumeSubject {
	/** Of the cross-section; every other is as much larger or smaller as its circumference is. */
	readonly outline: Outline;
	/** Of the same cross-section; a later region lies over an earlier one. */
	readonly regions: readonly SubjectRegion[];
	/** Kept all along the limb, m: what is inside it takes up the difference. Zero where all is stretched alike. */
	readonly fatThickness: number;
	/** S/m, outside of all regions. */
	readonly backgroundSigma: number;
	readonly taper: Taper;
	/** The stretch of limb that is modelled, m; null for as much as the bands see. */
	readonly extent: AxisBand | null;
	/** One to four, without overlap. Electrodes are numbered band by band. */
	readonly bands: readonly VolumeBand[];
	/** [all electrodes] Ω·m² */
	readonly contactImpedance: Float64Array;
	/** Null where left and right mean nothing. */
	readonly side: Side | null;
}

export const MOST_BANDS = 4;

/**
 * A limb with its atlas drawn all along it.
 *
 * @param contactImpedance [all electrodes] Ω·m²; dry skin where none was measured
 * @throws RangeError in one sentence when outline, tape readings or bands are impossible
 */
export function limbVolume(
	limb: Limb,
	tape: readonly TapeReading[],
	bands: readonly VolumeBand[],
	frequencyHertz: number,
	contactImpedance?: Float64Array,
): VolumeSubject {
	const electrodeCount = bands.reduce((sum, { band }) => sum + band.electrodeCount, 0);
	return {
		outline: createOutline(limb.outline),
		regions: limb.regions.map((region) => ({
			...region,
			sigma: restConductivity(region.tissue, frequencyHertz),
			inTrends: region.tissue === "muscle",
		})),
		fatThickness: limb.fatThickness,
		backgroundSigma: restConductivity("muscle", frequencyHertz),
		taper: createTaper(tape),
		extent: null,
		bands,
		contactImpedance: contactImpedance ?? new Float64Array(electrodeCount).fill(typicalContactImpedance.dry),
		side: limb.side,
	};
}

/** [nBands] the stretch of limb under each band's electrodes. @throws RangeError in one sentence when bands overlap,
 *  are too many or none, or reach beyond the extent */
export function bandStretches({ bands, extent }: Pick<VolumeSubject, "bands" | "extent">): AxisBand[] {
	if (bands.length < 1 || bands.length > MOST_BANDS)
		throw new RangeError(`volume: 1 to ${MOST_BANDS} bands are possible, got ${bands.length}`);
	const stretches = bands.map(({ z, electrodeHeight }, i) => {
		if (!(Number.isFinite(z) && electrodeHeight > 0 && electrodeHeight < 1))
			throw new RangeError(
				`volume: band ${i + 1} needs a place along the limb and electrodes of a height in metres, got ${z} and ${electrodeHeight}`,
			);
		return { from: z - electrodeHeight / 2, to: z + electrodeHeight / 2 };
	});
	for (const [i, one] of stretches.entries()) {
		if (extent !== null && (one.from < extent.from || one.to > extent.to))
			throw new RangeError(`volume: band ${i + 1} reaches beyond the end; move it inwards`);
		for (const [k, other] of stretches.slice(0, i).entries())
			if (one.from < other.to && other.from < one.to)
				throw new RangeError(`volume: bands ${k + 1} and ${i + 1} overlap; move them apart along the limb`);
	}
	return stretches;
}

/** [nBands] electrodes on the outline of the cross-section: where the limb is thicker they are narrower there. */
export function placeBands({ outline, taper, bands }: VolumeSubject): PlacedElectrodes[] {
	return bands.map(({ band, z }) =>
		placeElectrodes(outline, {
			...band,
			electrodeWidth: (band.electrodeWidth * outline.circumference) / taper.circumferenceAt(z),
		}),
	);
}
