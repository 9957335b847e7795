import type { ReadingPattern } from "../band/band.ts";
import type { Mesh } from "../mesh/mesh.ts";
import { readingsFrom, solveForward } from "../physics/solve-forward.ts";
import { cellAreas, cellCentres } from "./image-rows.ts";
import { createPictureKernel } from "./picture-kernel.ts";
import { meshSubject, type PictureModel, restSigma } from "./picture-model.ts";
import { sensitivity } from "./sensitivity.ts";
import type { PictureSubject } from "./subject.ts";

/** Finer than the picture's mesh, so that a picture is not judged by its own errors. */
const TRIANGLES = 7000;
/** Of the change that is asked about: so little that readings answer in proportion. */
const SMALL = 1e-3;

/** Pictures of small changes of conductivity in a subject, made on another, finer mesh than the model's. */
export interface SmallChanges {
	readonly mesh: Mesh;
	/** [nTriangles × 2] m */
	readonly centres: Float64Array;
	/** [nTriangles] m² */
	readonly areas: Float64Array;
	/** [nTriangles] S/m at rest */
	readonly sigma: Float64Array;
	/** Values and region means, as if readings answered in proportion to the change; overwritten by the next call.
	 *  @param change [nTriangles] S/m */
	picture(change: Float64Array): { readonly values: Float32Array; readonly regionMeans: Float32Array };
}

/** @param model of the same subject and pattern */
export function createSmallChanges(
	subject: PictureSubject,
	pattern: ReadingPattern,
	model: PictureModel,
): SmallChanges {
	const mesh = meshSubject(subject, TRIANGLES);
	const sigma = restSigma(subject, mesh);
	const field = solveForward(mesh, sigma, subject.contactImpedance);
	const perOhm = model.ohmMetrePerUnit.map((factor) => 1 / factor);
	const rest = readingsFrom(field, pattern, perOhm);
	const rows = sensitivity(mesh, field, pattern.terminals);
	const cellCount = sigma.length;
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	const readings = new Float64Array(rest.length);
	const values = new Float32Array(kernel.values.length);
	const regionMeans = new Float32Array(kernel.regionMeans.length);
	return {
		mesh,
		centres: cellCentres(mesh),
		areas: cellAreas(mesh),
		sigma,
		picture(change) {
			for (let r = 0; r < rest.length; r++) {
				let sum = 0;
				for (let k = 0; k < cellCount; k++) if (change[k] !== 0) sum += rows[r * cellCount + k]! * change[k]!;
				readings[r] = rest[r]! + SMALL * sum * perOhm[r]!;
			}
			kernel.apply(readings);
			for (let k = 0; k < values.length; k++) values[k] = kernel.values[k]! / SMALL;
			for (let i = 0; i < regionMeans.length; i++) regionMeans[i] = kernel.regionMeans[i]! / SMALL;
			return { values, regionMeans };
		},
	};
}
