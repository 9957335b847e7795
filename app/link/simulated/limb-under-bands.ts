import type { Band } from "../../../core/band/band.ts";
import { effectiveHeightMetre } from "../../../core/band/effective-height.ts";
import { usualElectrodeHeightMetre } from "../../../core/band/electrode-height.ts";
import { bandOf } from "../../../core/band/measured-band.ts";
import { createOutline } from "../../../core/limb/outline.ts";
import { createThigh } from "../../../core/limb/thigh-atlas.ts";
import { restConductivity, typicalContactImpedance } from "../../../core/physics/tissue.ts";
import { meshVolume, restSigmaOf } from "../../../core/volume/mesh-volume.ts";
import {
	type ContactResponses,
	contactResponses,
	tissueResponses,
} from "../../../core/volume/transfer-responses.ts";
import { createVolumeSolver } from "../../../core/volume/volume-forward.ts";
import type { VolumeMesh } from "../../../core/volume/volume-mesh.ts";
import { limbVolume, type VolumeSubject } from "../../../core/volume/volume-subject.ts";
import type { BandSetup } from "../../contract.ts";
import { acrossPattern, listedFor } from "./across-pattern.ts";
import { girthAt, levelMetre, simulatedLevel } from "./band-levels.ts";
import { muscleIds } from "./exercises.ts";
import { inventedBand, inventedWearer, type Wearer } from "./invented-person.ts";
import { modelHertz, muscleOfRegion, sewnPositions, smallestPitch } from "./limb-details.ts";
import { Random } from "./random.ts";
import { afterSlide } from "./slid-band.ts";
import type { WornLimb } from "./worn-limb.ts";

/** Cells times electrodes: a start takes two to three seconds of one core with so many. Two bands of 16 have more cells
 *  than the 30,000 that pictures are made on. */
const CELLS_TIMES_ELECTRODES = 36_000 * 32;
const CELLS = { fewest: 18_000, most: 36_000 } as const;

/** Of the pitch, at most: where the limb is thinner than where it was measured electrodes are to have room, too. */
const WIDTH_SHARE = 0.85;

const SLIDING_BAND = 1;

/** How the limb answers with its bands in one place. */
interface LimbResponses {
	/** [L × L] V/A */
	readonly rest: Float64Array;
	/** For each muscle and band, [L × L] V/A for each S/m. */
	readonly tissues: readonly (readonly Float64Array[])[];
	readonly contacts: ContactResponses;
}

export interface LimbUnderBandsOptions {
	readonly seed: number;
	readonly bandCount: number;
	readonly electrodeCount: number;
	readonly wearer?: Wearer;
	/** How far the second band will slide towards the knee, m; 0, which saves a second solution, where left out. */
	readonly slideMetre?: number;
	/** Of the mesh; as many as a start has time for where left out. */
	readonly cells?: number;
}

/**
 * The tapered limb that several bands are strapped to, in three dimensions, so that they can drive and read across. As the
 * plane one it differs from what was measured by what tapes miss, and is meshed otherwise than any picture.
 *
 * What it leaves out: from the solved rest on, readings answer to conductivity and to contacts in proportion (the first
 * term of their series: of a muscle that conducts a tenth better a few hundredths of the answer are missing). A muscle
 * changes at each band as that band's state says, and between bands by what lies between. While a band slides, readings
 * go in a straight line from those before to those after.
 */
export class LimbUnderBands {
	/** One for each band. */
	readonly bands: readonly WornLimb[];
	readonly #electrodes: number;
	/** As the bands were put on, and after the slide if there is one. */
	readonly #states: readonly LimbResponses[];
	readonly #slideMetre: number;
	readonly #slid: Float64Array;
	readonly #restContact: Float64Array;
	/** As each band told them last. */
	readonly #contact: Float64Array;
	/** [nBands][nMuscles] */
	readonly #change: readonly Float64Array[];

	constructor({
		seed,
		bandCount,
		electrodeCount,
		wearer = inventedWearer(electrodeCount),
		slideMetre = 0,
		cells,
	}: LimbUnderBandsOptions) {
		const random = new Random(seed, "limb under all bands");
		const { limb, band } = wearer;
		const measured =
			band.electrodeCount === electrodeCount
				? band
				: inventedBand(electrodeCount, createOutline(limb.outline).circumference);
		this.#electrodes = bandCount * electrodeCount;
		const muscleSigma = restConductivity("muscle", modelHertz);
		const restOfMuscles = Float64Array.from(muscleIds, () => muscleSigma * random.between(0.96, 1.04));
		const fullChange = restOfMuscles.map((sigma) => sigma * random.between(0.08, 0.12));
		this.#restContact = Float64Array.from(
			{ length: this.#electrodes },
			() => typicalContactImpedance.dry * Math.exp(0.25 * random.normal()),
		);
		const subject = subjectOf(wearer, measured, bandCount, this.#restContact, random);
		const mesh = meshVolume(subject, cells ?? affordableCells(this.#electrodes));
		const tissueOf = musclesOf(subject, mesh);
		const sigma = restSigmaOf(subject, mesh).map((own, cell) => {
			const muscle = tissueOf[cell % tissueOf.length]!;
			return muscle < 0 ? own : restOfMuscles[muscle]!;
		});
		const heights = nearness(subject.bands.map(({ z }) => z));
		const solve = (at: VolumeMesh): LimbResponses => {
			const field = createVolumeSolver(at).solve(sigma, this.#restContact);
			return {
				rest: field.transfer,
				tissues: tissueResponses(at, field, tissueOf, heights).of,
				contacts: contactResponses(at, field),
			};
		};
		this.#slideMetre = slideMetre;
		const slid = slideMetre === 0 ? [] : [solve(afterSlide(mesh, subject, SLIDING_BAND, -slideMetre))];
		this.#states = [solve(mesh), ...slid];
		this.#slid = new Float64Array(slid.length * this.#electrodes ** 2);
		this.#contact = this.#restContact.slice();
		this.#change = Array.from({ length: bandCount }, () => new Float64Array(muscleIds.length));
		this.bands = subject.bands.map(({ band: { electrodeWidth } }, own) => {
			const electrodeArea = electrodeWidth * usualElectrodeHeightMetre;
			return this.#under(own, { electrodeCount, restOfMuscles, fullChange, electrodeArea });
		});
	}

	#under(
		own: number,
		limb: Pick<WornLimb, "electrodeCount" | "restOfMuscles" | "fullChange" | "electrodeArea">,
	): WornLimb {
		const { electrodeCount } = limb;
		const first = own * electrodeCount;
		const pattern = acrossPattern(electrodeCount, this.#change.length, own);
		return {
			...limb,
			restContact: this.#restContact.slice(first, first + electrodeCount),
			pattern,
			listed: listedFor(own, electrodeCount, pattern),
			contacts: this.#contact,
			transferInto: (change, contact, movedMetre, transfer) => {
				this.#change[own]!.set(change);
				this.#contact.set(contact, first);
				this.#transferInto(movedMetre, transfer);
			},
		};
	}

	#transferInto(movedMetre: number, transfer: Float64Array): void {
		const [start, end] = this.#states;
		this.#respondInto(start!, transfer);
		if (end === undefined || movedMetre === 0) return;
		this.#respondInto(end, this.#slid);
		const share = movedMetre / this.#slideMetre;
		for (let i = 0; i < transfer.length; i++) transfer[i]! += share * (this.#slid[i]! - transfer[i]!);
	}

	#respondInto({ rest, tissues, contacts: { of, area } }: LimbResponses, transfer: Float64Array): void {
		const L = this.#electrodes;
		transfer.set(rest);
		for (const [muscle, stretches] of tissues.entries()) {
			for (const [band, response] of stretches.entries()) {
				const change = this.#change[band]![muscle]!;
				if (change === 0) continue;
				for (let i = 0; i < transfer.length; i++) transfer[i]! += change * response[i]!;
			}
		}
		for (let e = 0; e < L; e++) {
			const admittance = 1 / this.#contact[e]! - 1 / this.#restContact[e]!;
			if (admittance === 0) continue;
			const response = of[e]!;
			for (let i = 0; i < transfer.length; i++) transfer[i]! -= admittance * response[i]!;
			// of a unit current 1 − 1/L flows into its electrode and 1/L out of each other
			const drop = (this.#contact[e]! - this.#restContact[e]!) / area[e]!;
			for (let l = 0; l < L; l++)
				for (let m = 0; m < L; m++)
					transfer[l * L + m]! += drop * ((l === e ? 1 : 0) - 1 / L) * ((m === e ? 1 : 0) - 1 / L);
		}
		for (let i = 0; i < transfer.length; i++) transfer[i]! *= effectiveHeightMetre;
	}
}

function affordableCells(electrodes: number): number {
	const affordable = Math.round(CELLS_TIMES_ELECTRODES / electrodes);
	return Math.max(CELLS.fewest, Math.min(CELLS.most, affordable));
}

function subjectOf(
	{ limb }: Wearer,
	measured: BandSetup,
	bandCount: number,
	contact: Float64Array,
	random: Random,
): VolumeSubject {
	const { circumference } = createOutline(limb.outline);
	const fatThickness = limb.fatThickness * random.between(1.01, 1.06);
	const tape = Array.from({ length: bandCount }, (_, band) => {
		const level = simulatedLevel(limb.level, band);
		return { z: levelMetre(level), circumference: circumference * girthAt(level, limb.level) };
	});
	const bands = tape.map(({ z, circumference: around }) => {
		const electrodeWidth = Math.min(measured.electrodeWidth, WIDTH_SHARE * smallestPitch(measured) * around);
		const there = { ...measured, electrodeWidth };
		const band: Band = bandOf({ ...there, positions: sewnPositions(there, around, random) });
		return { band, z, electrodeHeight: usualElectrodeHeightMetre };
	});
	return limbVolume(createThigh({ ...limb, fatThickness }), tape, bands, modelHertz, contact);
}

/** [trianglesPerLayer] the muscle that each triangle of the section is of; −1 for other tissue. */
function musclesOf({ regions }: VolumeSubject, { regionOf }: VolumeMesh): Int16Array {
	const muscles = regions.map(muscleOfRegion);
	return Int16Array.from(regionOf, (region) => (region === 0 ? -1 : muscles[region - 1]!));
}

/** For each band how much a place along the limb is its own: all at the band, in equal steps none at the next. */
function nearness(heights: readonly number[]): ((z: number) => number)[] {
	return heights.map((own) => {
		const below = Math.max(...heights.filter((z) => z < own));
		const above = Math.min(...heights.filter((z) => z > own));
		return (z: number): number => {
			const share = z < own ? (own - z) / (own - below) : (z - own) / (above - own);
			return Math.max(0, 1 - share);
		};
	});
}
