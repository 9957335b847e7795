import type { ReadingPattern } from "../band/band.ts";
import { readingsFrom } from "../physics/solve-forward.ts";
import type { BentModes } from "../picture/bent-modes.ts";
import { everyCell, type ImageRows, meansOver, stackRows } from "../picture/image-rows.ts";
import { type PictureModel, rowNorms, scaleToModel } from "../picture/picture-model.ts";
import { reconstructOver } from "../picture/reconstruction.ts";
import type { StrengthRule } from "../picture/strength.ts";
import { bandMovement, bentMoves, usualMove } from "./band-movement.ts";
import { meshVolume, restSigmaOf } from "./mesh-volume.ts";
import { readingsByMoves } from "./moved-readings.ts";
import { volumeDomain } from "./volume-domain.ts";
import { createVolumeSolver } from "./volume-forward.ts";
import { type VolumeGeometry, volumeGeometry } from "./volume-geometry.ts";
import { cellVolumes, type VolumeMesh } from "./volume-mesh.ts";
import { bandStretches, type VolumeSubject } from "./volume-subject.ts";

export type VolumeStep = "mesh" | "field" | "movement" | "matrix";

export interface VolumeModelOptions {
	readonly subject: VolumeSubject;
	/** Over the electrodes of all bands, numbered band by band. */
	readonly pattern: ReadingPattern;
	/** Ω for one unit of a reading: 1/current for volts, 1 for ohm. One for all or [nReadings]. */
	readonly ohmPerUnit: number | Float64Array;
	/** [nReadings] standard deviation of each reading at rest, in its unit; Infinity leaves a reading out. Null where it
	 *  is not known yet: all alike. */
	readonly noise: Float64Array | null;
	/** [nReadings] readings at rest, see `PictureModelOptions`. */
	readonly rest?: Float64Array | null;
	readonly rule: StrengthRule;
	/** λ by hand, relative as in `strength.ts`; left out where the rule chooses it. */
	readonly lambda?: number;
	/** Straightened changes [nReadings] that `gcv` and `l-curve` judge by, see `InverseOptions`. */
	readonly frames?: readonly Float64Array[];
	/** What pictures hold: a value at each node (for slices and surfaces) or in each cell. */
	readonly values?: "nodes" | "cells";
	/** Whether bands, two or more, may slide and twist since the baseline, see `bandMovement`; by default they stay. */
	readonly movement?: boolean;
	/** About how many cells, of three tetrahedra each; 30,000 where left out. */
	readonly targetCells?: number;
	/** Leaves nothing out that noise drowns or few readings say as well: slower, to compare with. */
	readonly isExact?: boolean;
}

/** How the long work talks with whoever waits for it. */
export interface VolumeWork {
	/** @param share of all work, 0 to 1 */
	readonly onProgress?: (step: VolumeStep, share: number) => void;
	/** Asked between steps; once true, nothing is built. */
	readonly shouldStop?: () => boolean;
}

/** Everything that pictures in three dimensions are made with: plain data, can be posted to a worker and kept on disk. */
export interface VolumeModel
	extends Pick<
		PictureModel,
		| "values"
		| "readingCount"
		| "trendRegions"
		| "fold"
		| "projection"
		| "matrix"
		| "dataSpace"
		| "prior"
		| "rule"
		| "lambda"
		| "noiseFigure"
		| "curve"
		| "regionNoise"
		| "readingScale"
	> {
	readonly geometry: VolumeGeometry;
	/** [nReadings] Ω for one unit of a reading, with `readingScale` in it; named as in a section's model, where the
	 *  height is in it as well. */
	readonly ohmMetrePerUnit: Float64Array;
	/** [nReadings] what the model reads at rest, Ω: with it, readings of a later rest are fitted to a model made before. */
	readonly modelRest: Float64Array;
	readonly unit: "S/m";
	/** How frames tell moves of bands, see `bentMoves`; null where bands are taken to stay. */
	readonly movement: BentModes | null;
}

const TARGET_CELLS = 30_000;

/** Of a picture's square: what components that noise drowns may add to it in all. Pictures differ by 3e-4 of their size. */
const NEGLIGIBLE = 1e-7;

/**
 * From limb to matrix in three dimensions.
 *
 * @returns null when it was stopped
 * @throws RangeError in one sentence when the subject cannot be meshed, lengths do not fit or no reading is left
 */
export function buildVolumeModel(options: VolumeModelOptions, work: VolumeWork = {}): VolumeModel | null {
	const stopped = new Error("stopped");
	const report = (step: VolumeStep, share: number): void => {
		if (work.shouldStop?.() === true) throw stopped;
		work.onProgress?.(step, share);
	};
	try {
		return build(options, report);
	} catch (error) {
		if (error === stopped) return null;
		throw error;
	}
}

function build(options: VolumeModelOptions, report: (step: VolumeStep, share: number) => void): VolumeModel {
	const { subject, pattern, rule } = options;
	const electrodeCount = subject.bands.reduce((sum, { band }) => sum + band.electrodeCount, 0);
	if (subject.contactImpedance.length !== electrodeCount || pattern.electrodeCount !== electrodeCount)
		throw new RangeError(
			`volume: ${electrodeCount} electrodes in all, but ${subject.contactImpedance.length} contact impedances and a pattern for ${pattern.electrodeCount}`,
		);
	const readingCount = pattern.terminals.length / 4;
	const nominal =
		typeof options.ohmPerUnit === "number"
			? new Float64Array(readingCount).fill(options.ohmPerUnit)
			: options.ohmPerUnit;
	const deviation = options.noise ?? nominal.map((factor) => 1 / Math.abs(factor));

	report("mesh", 0);
	const mesh = meshVolume(subject, options.targetCells ?? TARGET_CELLS);
	report("field", 0.05);
	const sigma = restSigmaOf(subject, mesh);
	const solver = createVolumeSolver(mesh);
	const field = solver.solve(sigma, subject.contactImpedance);
	const readingScale = options.rest ? scaleToModel(options.rest, nominal, deviation, field, pattern) : 1;
	const ohmMetrePerUnit = nominal.map((factor) => factor * readingScale);
	const volumes = cellVolumes(mesh);
	const stretches = bandStretches(subject);
	const low = Math.min(...stretches.map(({ from }) => from));
	const high = Math.max(...stretches.map(({ to }) => to));
	const trends = subject.regions.flatMap((region, i) =>
		region.inTrends ? [{ ...region, label: i + 1 }] : [],
	);
	const labels = trends.map(({ label }) => label);
	const regions = regionRows(mesh, volumes, labels, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
	const moved =
		options.movement === true
			? readingsByMoves(subject, pattern, usualMove, (share) => report("movement", 0.2 + 0.4 * share))
			: null;
	const begun = moved === null ? 0.2 : 0.6;
	report("matrix", begun);
	const nuisance =
		moved &&
		bandMovement(
			moved,
			regions,
			trends.map((region) => region.sigma),
		);
	const reconstruction = reconstructOver(volumeDomain(mesh, field, sigma, { from: low, to: high }), {
		pattern,
		ohmPerUnit: ohmMetrePerUnit,
		deviation,
		prior: "diagonal",
		regions,
		...(nuisance && { nuisance }),
		rule,
		negligible: options.isExact === true ? 0 : NEGLIGIBLE,
		mayReduce: options.isExact !== true,
		onProgress: (share) => report("matrix", begun + (0.8 - begun) * share),
		...(options.lambda !== undefined && { lambda: options.lambda }),
		...(options.frames && { frames: options.frames }),
	});
	report("matrix", 0.8);
	const values = options.values ?? "cells";
	const imageRows = values === "nodes" ? aroundNodes(mesh, volumes) : everyCell(volumes.length);
	const matrix = reconstruction.matrixOf(stackRows(imageRows, regionRows(mesh, volumes, labels, low, high)));
	report("matrix", 1);
	return {
		geometry: volumeGeometry(subject, mesh, volumes),
		values,
		readingCount,
		trendRegions: trends.map(({ id, name }) => ({ id, name })),
		ohmMetrePerUnit,
		modelRest: readingsFrom(field, pattern, 1),
		fold: reconstruction.fold,
		projection: reconstruction.projection,
		matrix: { ...matrix, values: matrix.values.slice() },
		dataSpace: reconstruction.dataSpace,
		unit: "S/m",
		prior: "diagonal",
		rule,
		lambda: reconstruction.strength.lambda,
		noiseFigure: reconstruction.strength.noiseFigure,
		curve: reconstruction.strength.curve,
		regionNoise: options.noise === null ? null : rowNorms(matrix, imageRows.count, trends.length),
		readingScale,
		movement: moved && bentMoves(moved, reconstruction),
	};
}

/** Means over regions, by volume, of the cells whose middles lie between two heights. */
function regionRows(
	{ regionOf, levels }: VolumeMesh,
	volumes: Float64Array,
	labels: readonly number[],
	from: number,
	to: number,
): ImageRows {
	const cells: number[][] = labels.map(() => []);
	const place = new Map(labels.map((label, i) => [label, i]));
	for (let k = 0; k < volumes.length; k++) {
		const layer = Math.floor(k / regionOf.length);
		const middle = (levels[layer]! + levels[layer + 1]!) / 2;
		if (middle < from || middle > to) continue;
		const i = place.get(regionOf[k % regionOf.length]!);
		if (i !== undefined) cells[i]!.push(k);
	}
	return meansOver(cells, volumes);
}

/** Value at each node: mean of the cells around it, by volume. */
function aroundNodes(
	{ nodes, triangles, levels, nodesPerLevel }: VolumeMesh,
	volumes: Float64Array,
): ImageRows {
	const around: number[][] = Array.from({ length: nodes.length / 3 }, () => []);
	const perLayer = triangles.length / 3;
	for (let k = 0; k + 1 < levels.length; k++)
		for (let i = 0; i < triangles.length; i++) {
			const cell = k * perLayer + Math.floor(i / 3);
			around[k * nodesPerLevel + triangles[i]!]!.push(cell);
			around[(k + 1) * nodesPerLevel + triangles[i]!]!.push(cell);
		}
	return meansOver(around, volumes);
}
