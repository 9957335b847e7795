import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import { cellAreas, cellCentres, centreOfArea } from "./image-rows.ts";
import { createPrior, type Prior, type PriorName } from "./prior.ts";
import { createSensitivityRows } from "./sensitivity.ts";
import { createWhitenedRows, type WhitenedRows } from "./whitened-sensitivities.ts";

/** What a picture is made of: the cells of a cross-section or of a volume, and how readings see them. */
export interface PictureDomain {
	/** [nCells] m² or m³ */
	readonly measures: Float64Array;
	/** Cells of the small central change that the strength of regularisation is judged by. */
	readonly central: Uint32Array;
	readonly whitened: WhitenedRows;
	/** @param squares as in `createPrior` */
	prior(name: PriorName, squares: Float64Array): Prior;
}

/** Of the section that the small central change covers: a tenth of its radius. */
const CENTRAL_SHARE = 0.01;

/** @param sigma [nTriangles] conductivity at rest @throws RangeError when the field is of another mesh */
export function sectionDomain(mesh: Mesh, field: ForwardField, sigma: Float64Array): PictureDomain {
	const measures = cellAreas(mesh);
	return {
		measures,
		central: centralCells(mesh, measures),
		whitened: createWhitenedRows(measures.length, createSensitivityRows(mesh, field)),
		prior: (name, squares) => createPrior(name, mesh, measures, sigma, squares),
	};
}

/** Those in a disc around the section's centre of area; at least the nearest. */
function centralCells(mesh: Mesh, areas: Float64Array): Uint32Array {
	const centres = cellCentres(mesh);
	const { x, y, area } = centreOfArea(centres, areas);
	const radius = Math.sqrt((CENTRAL_SHARE * area) / Math.PI);
	const distances = areas.map((_, k) => Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y));
	const nearest = distances.indexOf(Math.min(...distances));
	return Uint32Array.from(areas.keys()).filter((k) => distances[k]! <= radius || k === nearest);
}
