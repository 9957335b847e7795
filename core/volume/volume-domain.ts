import type { ForwardField } from "../physics/forward.ts";
import type { PictureDomain } from "../picture/domain.ts";
import { diagonalPrior } from "../picture/prior.ts";
import { createWhitenedRows } from "../picture/whitened-sensitivities.ts";
import { cellVolumes, type VolumeMesh, volumeCellCentres } from "./volume-mesh.ts";
import { createVolumeSensitivityRows } from "./volume-sensitivity.ts";

/** Radius of the small central change, as a share of the limb's there. */
const CENTRAL_SHARE = 0.15;

/**
 * @param middle height of the small central change, m
 * @throws RangeError when the field is of another mesh; a prior other than `diagonal` is refused when it is asked for
 */
export function volumeDomain(mesh: VolumeMesh, field: ForwardField, middle: number): PictureDomain {
	const measures = cellVolumes(mesh);
	return {
		measures,
		central: centralCells(mesh, measures, middle),
		whitened: createWhitenedRows(measures.length, createVolumeSensitivityRows(mesh, field)),
		prior(name, squares) {
			if (name !== "diagonal")
				throw new RangeError(`volume: pictures are made with the diagonal prior, not with ${name}`);
			return diagonalPrior(squares);
		},
	};
}

/** Those in a ball around the limb's axis at a height; at least the nearest. */
function centralCells(mesh: VolumeMesh, volumes: Float64Array, middle: number): Uint32Array {
	const { levels, regionOf } = mesh;
	const perLayer = regionOf.length;
	const centres = volumeCellCentres(mesh);
	let layer = 0;
	while (layer + 2 < levels.length && levels[layer + 1]! <= middle) layer++;
	let volume = 0;
	let x = 0;
	let y = 0;
	for (let k = layer * perLayer; k < (layer + 1) * perLayer; k++) {
		volume += volumes[k]!;
		x += volumes[k]! * centres[3 * k]!;
		y += volumes[k]! * centres[3 * k + 1]!;
	}
	const area = volume / (levels[layer + 1]! - levels[layer]!);
	const radius = CENTRAL_SHARE * Math.sqrt(area / Math.PI);
	const distances = volumes.map((_, k) =>
		Math.hypot(centres[3 * k]! - x / volume, centres[3 * k + 1]! - y / volume, centres[3 * k + 2]! - middle),
	);
	let nearest = 0;
	for (let k = 1; k < distances.length; k++) if (distances[k]! < distances[nearest]!) nearest = k;
	return Uint32Array.from(volumes.keys()).filter((k) => distances[k]! <= radius || k === nearest);
}
