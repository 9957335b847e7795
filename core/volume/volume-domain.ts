import type { ForwardField } from "../physics/forward.ts";
import type { PictureDomain } from "../picture/domain.ts";
import { diagonalPrior } from "../picture/prior.ts";
import { createWhitenedRows } from "../picture/whitened-sensitivities.ts";
import type { AxisBand } from "./axis-pieces.ts";
import { cellVolumes, type VolumeMesh, volumeCellCentres } from "./volume-mesh.ts";
import { createVolumeSensitivityRows } from "./volume-sensitivity.ts";

/** Radius of the small central change, as a share of the limb's there. */
const CENTRAL_SHARE = 0.15;

/**
 * The prior is the section's `diagonal` one, but that beyond the outermost electrodes belief in a change fades with the
 * distance d as exp(−(d/R)²), R the limb's radius. Readings cannot tell what lies there; without the fading a target under
 * a band is drawn out towards the end (on a simulated thigh by 6 to 30 mm, with it by 2 to 8).
 *
 * @param sigma [nCells] conductivity at rest
 * @param bands the stretch of limb from the lowest electrode to the highest, m
 * @throws RangeError when the field is of another mesh; a prior other than `diagonal` is refused when it is asked for
 */
export function volumeDomain(
	mesh: VolumeMesh,
	field: ForwardField,
	sigma: Float64Array,
	bands: AxisBand,
): PictureDomain {
	const measures = cellVolumes(mesh);
	const centres = volumeCellCentres(mesh);
	const { middle, radius } = sectionBetween(mesh, measures, centres, bands);
	const central = measures.map((_, k) =>
		Math.hypot(...middle.map((value, axis) => centres[3 * k + axis]! - value)),
	);
	const nearest = central.reduce((best, distance, k) => (distance < central[best]! ? k : best), 0);
	return {
		measures,
		central: Uint32Array.from(central.keys()).filter(
			(k) => central[k]! <= CENTRAL_SHARE * radius || k === nearest,
		),
		whitened: createWhitenedRows(measures.length, createVolumeSensitivityRows(mesh, field)),
		prior(name, squares) {
			if (name !== "diagonal")
				throw new RangeError(`volume: pictures are made with the diagonal prior, not with ${name}`);
			// its variances are 1/√square
			return diagonalPrior(
				squares.map((square, k) => {
					const z = centres[3 * k + 2]!;
					const beyond = Math.max(0, bands.from - z, z - bands.to) / radius;
					return (square / sigma[k]! ** 2) * Math.exp(2 * beyond * beyond);
				}),
			);
		},
	};
}

/** Middle and mean radius of the limb's section half way between the outermost electrodes. */
function sectionBetween(
	{ levels, regionOf }: VolumeMesh,
	volumes: Float64Array,
	centres: Float64Array,
	bands: AxisBand,
): { readonly middle: readonly [x: number, y: number, z: number]; readonly radius: number } {
	const z = (bands.from + bands.to) / 2;
	let layer = 0;
	while (layer + 2 < levels.length && levels[layer + 1]! <= z) layer++;
	let volume = 0;
	let x = 0;
	let y = 0;
	for (let k = layer * regionOf.length; k < (layer + 1) * regionOf.length; k++) {
		volume += volumes[k]!;
		x += volumes[k]! * centres[3 * k]!;
		y += volumes[k]! * centres[3 * k + 1]!;
	}
	const area = volume / (levels[layer + 1]! - levels[layer]!);
	return { middle: [x / volume, y / volume, z], radius: Math.sqrt(area / Math.PI) };
}
