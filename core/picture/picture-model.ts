import type { ReadingPattern } from "../band/band.ts";
import type { Point, Side } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import { meshLimb } from "../mesh/limb-mesh.ts";
import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import { readingsFrom, solveForward } from "../physics/solve-forward.ts";
import type { DataSpace } from "./data-space.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import {
	cellAreas,
	cellCentres,
	everyCell,
	type ImageRows,
	meansOver,
	nodeRows,
	stackRows,
} from "./image-rows.ts";
import { movementOf } from "./movement.ts";
import type { PriorName } from "./prior.ts";
import { createReconstruction, type PictureMatrix, type TransposedMatrix } from "./reconstruction.ts";
import type { StrengthCurve, StrengthRule } from "./strength.ts";
import type { PictureSubject } from "./subject.ts";

export type PictureStep = "mesh" | "field" | "matrix";

export interface PictureModelOptions {
	readonly subject: PictureSubject;
	readonly pattern: ReadingPattern;
	/** Ω·m for one unit of a reading: 1/current (A per metre of height) for volts, the effective height for ohm.
	 *  One for all or [nReadings]. */
	readonly ohmMetrePerUnit: number | Float64Array;
	/** [nReadings] standard deviation of each reading at rest, in its unit; Infinity leaves a reading out. Null
	 *  where it is not known yet: all alike. */
	readonly noise: Float64Array | null;
	/** [nReadings] readings at rest. Where given, all readings are scaled by one factor so that at rest they fit what
	 *  the model reads, in the least-squares sense: a change then comes out right beside the conductivities at rest
	 *  even if current or height were not. Readings left out by `noise`, or NaN, are not looked at. */
	readonly rest?: Float64Array | null;
	readonly prior: PriorName;
	readonly rule: StrengthRule;
	/** λ by hand, relative as in `strength.ts`; left out where the rule chooses it. */
	readonly lambda?: number;
	/** Whether skin and band may have moved since rest, see `movement.ts`: what movement can explain is then not painted as
	 *  a change of conductivity. Needs followed regions. Off where left out. */
	readonly allowsMovement?: boolean;
	/** Straightened changes [nReadings] that `gcv` and `l-curve` judge by, see `ReconstructionOptions`. */
	readonly frames?: readonly Float64Array[];
	/** What pictures hold: a value at each node (for drawing) or in each cell. */
	readonly values?: "nodes" | "cells";
	readonly targetTriangles?: number;
	/** Called before each step, for a progress display. */
	readonly onStep?: (step: PictureStep) => void;
}

/** Everything that pictures of one band are made with: plain data, can be posted to a worker. */
export interface PictureModel {
	readonly geometry: ModelGeometry;
	readonly values: "nodes" | "cells";
	readonly readingCount: number;
	/** Followed over time, in the order of `PictureKernel.regionMeans`. */
	readonly trendRegions: readonly { readonly id: string; readonly name: string }[];
	readonly ohmMetrePerUnit: Float64Array;
	readonly fold: FoldedReadings;
	/** From whitened readings to the fewer values that `matrix` takes, see `Reconstruction`; null where it takes the
	 *  whitened readings themselves. */
	readonly projection: TransposedMatrix | null;
	/** Rows: image values, then trend regions. */
	readonly matrix: PictureMatrix;
	/** What is needed to change the matrix without making it again, see `reading-trust.ts`. */
	readonly dataSpace: DataSpace;
	readonly unit: "S/m" | "relative";
	readonly prior: PriorName;
	readonly rule: StrengthRule;
	/** Relative, see `strength.ts`. */
	readonly lambda: number;
	readonly noiseFigure: number;
	/** The search for lambda. */
	readonly curve: StrengthCurve;
	/** [nTrendRegions] standard deviation of each mean at rest, in `unit`; null where `noise` was not given. */
	readonly regionNoise: Float64Array | null;
	/** Factor on readings that fitted them to the model at rest, in `ohmMetrePerUnit` already; 1 without `rest`. */
	readonly readingScale: number;
}

export interface ModelGeometry {
	/** [nNodes × 2] m */
	readonly nodes: Float64Array;
	/** [nTriangles × 3] */
	readonly triangles: Uint32Array;
	/** [nTriangles × 2] m */
	readonly cellCentres: Float64Array;
	/** [nTriangles] m² */
	readonly cellAreas: Float64Array;
	readonly skin: readonly Point[];
	readonly electrodes: readonly { readonly number: number; readonly arc: readonly Point[] }[];
	readonly regions: readonly ModelRegion[];
	readonly side: Side | null;
}

export interface ModelRegion {
	readonly id: string;
	readonly name: string;
	readonly tissue: "muscle" | "fat" | "bone";
	readonly trendIndex: number | null;
	readonly outline: readonly Point[];
}

/** From limb or tank to the matrix. @throws RangeError in one sentence when the subject cannot be meshed, lengths do
 *  not fit or no reading is left */
export function buildPictureModel(options: PictureModelOptions): PictureModel {
	const { subject, pattern, rule, prior, onStep } = options;
	const readingCount = pattern.terminals.length / 4;
	const nominal =
		typeof options.ohmMetrePerUnit === "number"
			? new Float64Array(readingCount).fill(options.ohmMetrePerUnit)
			: options.ohmMetrePerUnit;
	const deviation = options.noise ?? nominal.map((factor) => 1 / Math.abs(factor));

	onStep?.("mesh");
	const mesh = meshSubject(subject, options.targetTriangles);
	onStep?.("field");
	const sigma = restSigma(subject, mesh);
	const field = solveForward(mesh, sigma, subject.contactImpedance);
	const readingScale = options.rest ? scaleToModel(options.rest, nominal, deviation, field, pattern) : 1;
	const ohmMetrePerUnit = nominal.map((factor) => factor * readingScale);
	onStep?.("matrix");
	const areas = cellAreas(mesh);
	const values = options.values ?? "nodes";
	const trends = subject.regions.flatMap((region, i) =>
		region.inTrends ? [{ ...region, label: i + 1 }] : [],
	);
	const regionRows = rowsOfRegions(
		mesh,
		areas,
		trends.map(({ label }) => label),
	);
	const reconstruction = createReconstruction({
		mesh,
		sigma,
		field,
		pattern,
		ohmPerUnit: ohmMetrePerUnit,
		deviation,
		prior,
		regions: regionRows,
		...(options.allowsMovement && {
			nuisance: movementOf(
				subject,
				{ mesh, field, sigma, contactImpedance: subject.contactImpedance },
				regionRows,
				trends.map((region) => region.sigma),
			),
		}),
		rule,
		...(options.lambda !== undefined && { lambda: options.lambda }),
		...(options.frames && { frames: options.frames }),
	});
	const imageRows = values === "nodes" ? nodeRows(mesh, areas) : everyCell(areas.length);
	const matrix = reconstruction.matrixOf(stackRows(imageRows, regionRows));
	return {
		geometry: geometryOf(subject, mesh, areas),
		values,
		readingCount,
		trendRegions: trends.map(({ id, name }) => ({ id, name })),
		ohmMetrePerUnit,
		fold: reconstruction.fold,
		projection: reconstruction.projection,
		matrix: { ...matrix, values: matrix.values.slice() },
		dataSpace: reconstruction.dataSpace,
		unit: subject.unit,
		prior,
		rule,
		lambda: reconstruction.strength.lambda,
		noiseFigure: reconstruction.strength.noiseFigure,
		curve: reconstruction.strength.curve,
		regionNoise: options.noise === null ? null : rowNorms(matrix, imageRows.count, trends.length),
		readingScale,
	};
}

export function meshSubject(subject: PictureSubject, targetTriangles?: number): Mesh {
	return meshLimb({
		outline: subject.outline,
		electrodes: subject.electrodes,
		regions: subject.regions,
		...(targetTriangles !== undefined && { targetTriangles }),
	});
}

/** [nTriangles] S/m at rest. */
export function restSigma(subject: PictureSubject, mesh: Mesh): Float64Array {
	return Float64Array.from(mesh.regionOf, (label) =>
		label === 0 ? subject.backgroundSigma : subject.regions[label - 1]!.sigma,
	);
}

/** The factor on readings at rest that fits them to what the model reads. @throws RangeError when there is none */
export function scaleToModel(
	rest: Float64Array,
	ohmMetrePerUnit: Float64Array,
	deviation: Float64Array,
	field: Pick<ForwardField, "electrodeCount" | "transfer">,
	pattern: ReadingPattern,
): number {
	const model = readingsFrom(field, pattern, 1);
	let both = 0;
	let square = 0;
	for (let r = 0; r < model.length; r++) {
		if (deviation[r] === Infinity || Number.isNaN(rest[r]!)) continue;
		both += model[r]! * rest[r]! * ohmMetrePerUnit[r]!;
		square += model[r]! ** 2;
	}
	const scale = square / both;
	if (scale > 0 && Number.isFinite(scale)) return scale;
	throw new RangeError(
		"the readings at rest do not fit the setup: its pattern, electrodes and currents give readings of the opposite sign",
	);
}

function rowsOfRegions(mesh: Mesh, areas: Float64Array, labels: readonly number[]): ImageRows {
	const cells: number[][] = labels.map(() => []);
	const place = new Map(labels.map((label, i) => [label, i]));
	for (let k = 0; k < areas.length; k++) {
		const i = place.get(mesh.regionOf[k]!);
		if (i !== undefined) cells[i]!.push(k);
	}
	return meansOver(cells, areas);
}

/** Standard deviation of rows from whitened readings, whose variance is one. */
export function rowNorms(matrix: TransposedMatrix, first: number, count: number): Float64Array {
	const squares = new Float64Array(count);
	for (let j = 0; j < matrix.columnCount; j++) {
		for (let i = 0; i < count; i++) squares[i]! += matrix.values[j * matrix.rowStride + first + i]! ** 2;
	}
	return squares.map(Math.sqrt);
}

/** Enough for a smooth line on any screen; the outline itself is denser. */
const SKIN_POINTS = 360;
const ARC_POINTS = 9;

function geometryOf(subject: PictureSubject, mesh: Mesh, areas: Float64Array): ModelGeometry {
	const { outline, electrodes } = subject;
	let trendIndex = 0;
	return {
		nodes: mesh.nodes,
		triangles: mesh.triangles,
		cellCentres: cellCentres(mesh),
		cellAreas: areas,
		skin: stretch(outline, 0, outline.circumference, SKIN_POINTS).slice(0, -1),
		electrodes: Array.from({ length: electrodes.count }, (_, l) => ({
			number: l + 1,
			arc: stretch(outline, electrodes.start[l]!, electrodes.end[l]!, ARC_POINTS),
		})),
		regions: subject.regions.map(({ id, name, tissue, inTrends, points }) => ({
			id,
			name,
			tissue,
			trendIndex: inTrends ? trendIndex++ : null,
			outline: points,
		})),
		side: subject.side,
	};
}

function stretch(outline: Outline, from: number, to: number, count: number): Point[] {
	return Array.from({ length: count }, (_, i) => outline.pointAt(from + ((to - from) * i) / (count - 1)));
}
