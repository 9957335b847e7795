import type { ReadingPattern } from "../../../core/band/band.ts";
import { type PlacedElectrodes, placeElectrodes } from "../../../core/band/electrodes.ts";
import { bandOf } from "../../../core/band/measured-band.ts";
import { createPattern } from "../../../core/band/patterns.ts";
import type { OutlineShape } from "../../../core/limb/limb.ts";
import { createOutline, type Outline } from "../../../core/limb/outline.ts";
import { createThigh } from "../../../core/limb/thigh-atlas.ts";
import { meshLimb } from "../../../core/mesh/limb-mesh.ts";
import { restConductivity, typicalContactImpedance } from "../../../core/physics/tissue.ts";
import type { BandSetup } from "../../contract.ts";
import { girthAt, simulatedLevel } from "./band-levels.ts";
import { muscleIds } from "./exercises.ts";
import { inventedBand, inventedWearer, type Wearer } from "./invented-person.ts";
import { modelHertz, muscleOfRegion, sewnPositions } from "./limb-details.ts";
import { Random } from "./random.ts";
import { VoltageModel } from "./voltage-model.ts";
import type { WornLimb } from "./worn-limb.ts";

/** Finer than the mesh that pictures are computed on, whose default is 3,200 triangles for 16 electrodes. */
const trianglesFor16 = 8000;

export interface TrueLimbOptions {
	readonly seed: number;
	readonly bandIndex: number;
	readonly electrodeCount: number;
	readonly wearer?: Wearer;
	/** Largest distance that the band will be asked to slip, m; 0 saves the models for it. */
	readonly largestSlipMetre: number;
}

/** Between these positions of a slipping band readings are interpolated. */
const slipStepMetre = 0.005;

/**
 * What one band is really strapped to. It differs from what was measured with a tape by what tapes miss: fat a little
 * thicker, muscles a little more or less conductive, electrodes sewn on half a millimetre off; and it is meshed
 * otherwise and finer than any picture, so that pictures are not tried on the very numbers they assume.
 */
export class TrueLimb implements WornLimb {
	readonly electrodeCount: number;
	readonly restOfMuscles: Float64Array;
	readonly fullChange: Float64Array;
	readonly restContact: Float64Array;
	readonly electrodeArea: number;
	readonly pattern: ReadingPattern;
	readonly listed = null;
	readonly contacts: Float64Array;
	/** By `slipStepMetre` along the skin. */
	readonly #models: readonly VoltageModel[];
	readonly #further: Float64Array;

	constructor(options: TrueLimbOptions) {
		const { bandIndex, electrodeCount, seed } = options;
		const random = new Random(seed, `limb at band ${bandIndex}`);
		const measured = options.wearer ?? inventedWearer(electrodeCount);
		const level = simulatedLevel(measured.limb.level, bandIndex);
		const girth = girthAt(level, measured.limb.level);
		const shape = scaled(measured.limb.outline, girth);
		const fatThickness = measured.limb.fatThickness * random.between(1.01, 1.06);
		const limb = createThigh({ side: measured.limb.side, outline: shape, fatThickness, level });
		const outline = createOutline(shape);
		const band = bandOn(measured.band, electrodeCount, outline.circumference, girth);
		const positions = sewnPositions(band, outline.circumference, random);

		const muscleSigma = restConductivity("muscle", modelHertz);
		this.electrodeCount = electrodeCount;
		this.pattern = createPattern(electrodeCount, "adjacent", "four-terminal");
		this.contacts = new Float64Array(electrodeCount);
		this.electrodeArea = band.electrodeWidth * electrodeHeightMetre;
		this.restOfMuscles = Float64Array.from(muscleIds, () => muscleSigma * random.between(0.96, 1.04));
		this.fullChange = this.restOfMuscles.map((sigma) => sigma * random.between(0.08, 0.12));
		this.restContact = Float64Array.from(
			{ length: electrodeCount },
			() => typicalContactImpedance.dry * Math.exp(0.25 * random.normal()),
		);
		this.#further = new Float64Array(electrodeCount ** 2);

		const others = { fat: restConductivity("fat", modelHertz), bone: restConductivity("bone", modelHertz) };
		const parts = limb.regions.map((region) => {
			const muscle = muscleOfRegion(region);
			return muscle >= 0 ? muscle : muscleIds.length + (region.tissue === "fat" ? 0 : 1);
		});
		const sigmas = Float64Array.from([...this.restOfMuscles, others.fat, others.bone]);
		const slipSteps = Math.ceil(options.largestSlipMetre / slipStepMetre - 1e-9);
		this.#models = Array.from({ length: slipSteps + 1 }, (_, step) => {
			const electrodes = place(outline, band, positions, step * slipStepMetre);
			const targetTriangles = Math.round(trianglesFor16 * Math.sqrt(electrodeCount / 16));
			const mesh = meshLimb({ outline, electrodes, regions: limb.regions, targetTriangles, variant: 1 });
			return new VoltageModel({
				mesh,
				// What lies in no region can only be a sliver at the skin.
				partOf: mesh.regionOf.map((region) => (region === 0 ? muscleIds.length : parts[region - 1]!)),
				restConductivity: sigmas,
				largestChange: this.fullChange,
				restContact: this.restContact,
			});
		});
	}

	transferInto(change: Float64Array, contact: Float64Array, slipMetre: number, transfer: Float64Array): void {
		this.contacts.set(contact);
		const step = Math.min(slipMetre / slipStepMetre, this.#models.length - 1);
		const low = Math.floor(step);
		this.#models[low]!.transferInto(change, contact, transfer);
		const share = step - low;
		if (share === 0) return;
		const further = this.#further;
		this.#models[low + 1]!.transferInto(change, contact, further);
		for (let i = 0; i < transfer.length; i++) transfer[i]! += share * (further[i]! - transfer[i]!);
	}
}

/** Height of the simulated electrodes, m: with their width it turns Ω·m² into the ohm that a board reports. */
const electrodeHeightMetre = 0.03;

function scaled(shape: OutlineShape, factor: number): OutlineShape {
	switch (shape.type) {
		case "circle":
			return { ...shape, radius: factor * shape.radius };
		case "ellipse":
			return { ...shape, a: factor * shape.a, b: factor * shape.b };
		case "polygon":
		case "smooth":
			return { ...shape, points: shape.points.map(([x, y]) => [factor * x, factor * y] as const) };
	}
}

/** The band as it lies where the limb is `girth` times as thick as where it was measured. */
function bandOn(band: BandSetup, electrodeCount: number, circumference: number, girth: number): BandSetup {
	if (band.electrodeCount === electrodeCount) return { ...band, electrodeWidth: girth * band.electrodeWidth };
	return inventedBand(electrodeCount, circumference);
}

/** The band moved anticlockwise along the skin, each electrode at its own position. */
function place(
	outline: Outline,
	band: BandSetup,
	positions: readonly number[],
	slipMetre: number,
): PlacedElectrodes {
	const worn = bandOf({ ...band, positions });
	const [x, y] = outline.pointAt(outline.arcAtAngle(worn.firstAngle) + slipMetre);
	return placeElectrodes(outline, { ...worn, firstAngle: Math.atan2(y, x) });
}

/** How muscles and contacts differ from those at `modelHertz`: muscles by S/m, contacts by a factor. Fat and bone
 *  change by less than two percent over the board's range and are left as they are; skin's impedance falls about
 *  with the root of the frequency here (Rosell et al., IEEE Trans. Biomed. Eng. 35:649, 1988, from 10 kΩ and more at
 *  1 Hz to 220 Ω at 100 kHz). */
export function atFrequency(hertz: number): { readonly muscleShift: number; readonly contactFactor: number } {
	return {
		muscleShift: restConductivity("muscle", hertz) - restConductivity("muscle", modelHertz),
		contactFactor: Math.sqrt(modelHertz / hertz),
	};
}
