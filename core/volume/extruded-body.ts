import type { Band } from "../band/band.ts";
import { placeElectrodes } from "../band/electrodes.ts";
import type { Outline } from "../limb/outline.ts";
import { circlePoints } from "../limb/region-shapes.ts";
import { meshLimb } from "../mesh/limb-mesh.ts";
import { type Circle, createMiddleOfSide } from "../physics/curved-sides.ts";
import { refineAtEnds } from "../physics/fine-solver.ts";
import { createQuadraticMesh } from "../physics/quadratic-mesh.ts";
import { createAxisElements } from "./axis-elements.ts";
import { axisModes } from "./axis-modes.ts";
import { type AxisBand, cutAxis } from "./axis-pieces.ts";
import { electrodeArcs } from "./electrode-arc.ts";
import { bandHeight } from "./electrode-patch.ts";
import { extrudedTransfer } from "./extruded-transfer.ts";
import { createSkinResponses } from "./skin-responses.ts";

/** A body of one cross-section all along, from z = 0 to its height, with bands of electrodes around it. */
export interface ExtrudedBody {
	readonly outline: Outline;
	/** m */
	readonly height: number;
	/** S/m */
	readonly backgroundSigma: number;
	/** Rods along the whole height; a later one lies over an earlier one. S/m */
	readonly rods: readonly (Circle & { readonly sigma: number })[];
	/** Of each band alike. */
	readonly band: Band;
	/** Where the bands' electrodes reach from and to, without overlap. */
	readonly bands: readonly AxisBand[];
	/** [bands.length · band.electrodeCount] Ω·m² */
	readonly contactImpedance: Float64Array;
}

export interface ExtrudedAccuracy {
	/** About how many triangles the cross-section has before it is refined at electrodes' ends. */
	readonly targetTriangles: number;
	readonly edgesPerElectrode: number;
	/** Of the triangles at electrodes' ends. */
	readonly halvings: number;
	/** As in `cutAxis`. */
	readonly gradings: number;
	readonly axisDegree: number;
}

/** Potentials of electrodes for unit currents, [L × L] V/A as `ForwardField.transfer`; L counts band by band.
 *  @throws RangeError in one sentence when the body cannot be meshed */
export function solveExtruded(
	body: ExtrudedBody,
	accuracy: ExtrudedAccuracy = usualAccuracy(body.band.electrodeCount),
): Float64Array {
	const { outline, band, rods, height, bands } = body;
	const electrodes = placeElectrodes(outline, band);
	const coarse = meshLimb({
		outline,
		electrodes,
		regions: rods.map(({ center, radius }, i) => ({
			id: String(i),
			name: String(i),
			tissue: "muscle",
			points: circlePoints(center, radius),
		})),
		targetTriangles: accuracy.targetTriangles,
		edgesPerElectrode: accuracy.edgesPerElectrode,
	});
	const middleOfSide = createMiddleOfSide(outline, rods);
	const refined = refineAtEnds(coarse, accuracy.halvings, middleOfSide);
	const mesh = createQuadraticMesh(refined, middleOfSide);
	const sigma = Float64Array.from(refined.regionOf, (region) =>
		region === 0 ? body.backgroundSigma : rods[region - 1]!.sigma,
	);
	const arcs = electrodeArcs(mesh);
	const pieces = cutAxis(height, bands, {
		gradings: accuracy.gradings,
		radius: Math.sqrt(outline.area / Math.PI),
	});
	const axis = createAxisElements(pieces.breaks, accuracy.axisDegree);
	const heights = pieces.bands.map(({ from, to }) => bandHeight(axis, from, to));
	return extrudedTransfer(
		arcs,
		heights,
		axisModes(axis),
		createSkinResponses(mesh, arcs, sigma),
		body.contactImpedance,
	);
}

/**
 * Readings of a frame are then off by 1e-4 to 5e-4 of their size in all, from the poorest contact to 1e-4 Ω·m², with fat
 * or bone or without, against a solution without a mesh. More of each changes little but the time.
 */
export function usualAccuracy(electrodesPerBand: number): ExtrudedAccuracy {
	return {
		targetTriangles: 700 + 40 * electrodesPerBand,
		edgesPerElectrode: 2,
		halvings: 2,
		gradings: 1,
		axisDegree: 5,
	};
}
