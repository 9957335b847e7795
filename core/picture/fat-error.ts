import type { Band } from "../band/band.ts";
import type { Limb } from "../limb/limb.ts";
import { createMeshSolver, readingsFrom } from "../physics/solve-forward.ts";
import { createPictureKernel } from "./picture-kernel.ts";
import { buildPictureModel, meshSubject, type PictureModelOptions, restSigma } from "./picture-model.ts";
import { limbSubject, type PictureSubject } from "./subject.ts";

/** What region means would be if the fat layer were thinner or thicker than the limb says. */
export interface FatError {
	/** m, in ascending order, the limb's own among them. */
	readonly fatThickness: readonly number[];
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		/** For each thickness, S/m. */
		readonly means: readonly number[];
	}[];
	/** The largest change of any mean, as a share of the largest mean with the limb's own fat; what a picture's scale
	 *  may be off by. */
	readonly largestShare: number;
}

export interface FatErrorOptions
	extends Pick<PictureModelOptions, "pattern" | "noise" | "prior" | "rule" | "ohmMetrePerUnit"> {
	/** Lays a limb with another fat layer into the same outline. @throws RangeError where that much cannot be */
	readonly limbWithFat: (fatThickness: number) => Limb;
	/** m */
	readonly fatThickness: number;
	readonly band: Band;
	readonly frequencyHertz: number;
	/** [electrodeCount] Ω·m² */
	readonly contactImpedance?: Float64Array;
	readonly targetTriangles?: number;
	/** Readings at rest and of the frame, [nReadings] each; where left out, typical contractions stand in. */
	readonly frame?: { readonly rest: Float64Array; readonly readings: Float64Array };
	/** m, by how much the fat may be off. */
	readonly error?: number;
}

/** A skinfold's or an ultrasound's error on a thigh. Common practice, no source. */
const FAT_ERROR = 0.003;
/** Thinner than this no layer is modelled. m */
const LEAST_FAT = 0.001;
/** What a typical contraction changes, as a share of a muscle's conductivity. */
const TYPICAL_CHANGE = 0.1;
/** Of the mesh that typical contractions are computed on. */
const TRIANGLES = 6000;

/**
 * Pictures of one frame by three models: with the limb's fat, and with some less and more. Why it matters: with an 85 mm
 * thigh one millimetre of fat moves the slowest-varying voltage by 6.6 %, twice what 10 % of muscle conductivity does
 * (computed from the layered disc's closed form).
 *
 * Without a frame each muscle in turn changes by a tenth, in a limb with the fat that is assumed, and `means` are each
 * muscle's own. Takes as long as three models.
 *
 * @throws RangeError when the limb cannot be modelled with so much fat
 */
export function fatError(options: FatErrorOptions): FatError {
	const { fatThickness, error = FAT_ERROR } = options;
	const thicknesses = [Math.max(LEAST_FAT, fatThickness - error), fatThickness, fatThickness + error];
	const subjectWith = (fat: number) =>
		limbSubject(options.limbWithFat(fat), options.band, options.frequencyHertz, options.contactImpedance);
	const { rest, frames } = options.frame
		? { rest: options.frame.rest, frames: [options.frame.readings] }
		: typicalFrames(subjectWith(fatThickness), options);
	const { pattern, noise, prior, rule, ohmMetrePerUnit, targetTriangles } = options;
	const pictures = thicknesses.map((fat) => {
		const subject = subjectWith(fat);
		const model = buildPictureModel({
			subject,
			pattern,
			noise,
			prior,
			rule,
			ohmMetrePerUnit,
			rest,
			...(targetTriangles !== undefined && { targetTriangles }),
		});
		const kernel = createPictureKernel(model);
		kernel.setBaseline(rest);
		const means = frames.map((readings) => {
			kernel.applyToRegions(readings);
			return kernel.regionMeans.slice();
		});
		return { model, meanOf: (region: number) => (means.length === 1 ? means[0]! : means[region]!)[region]! };
	});
	const regions = pictures[1]!.model.trendRegions.map(({ id, name }, i) => ({
		id,
		name,
		means: pictures.map(({ meanOf }) => meanOf(i)),
	}));
	const largest = Math.max(...regions.map(({ means }) => Math.abs(means[1]!)));
	const off = Math.max(...regions.flatMap(({ means }) => means.map((mean) => Math.abs(mean - means[1]!))));
	return { fatThickness: thicknesses, regions, largestShare: largest === 0 ? 0 : off / largest };
}

/** Readings at rest and with each followed region changed, on a mesh of their own. */
function typicalFrames(subject: PictureSubject, { pattern, ohmMetrePerUnit }: FatErrorOptions) {
	const mesh = meshSubject(subject, TRIANGLES);
	const sigma = restSigma(subject, mesh);
	const solver = createMeshSolver(mesh);
	const readings = (conductivity: Float64Array) => {
		const field = solver.solve(conductivity, subject.contactImpedance);
		return readingsFrom(field, pattern, 1).map(
			(ohm, r) => ohm / (typeof ohmMetrePerUnit === "number" ? ohmMetrePerUnit : ohmMetrePerUnit[r]!),
		);
	};
	const labels = subject.regions.flatMap(({ inTrends }, i) => (inTrends ? [i + 1] : []));
	return {
		rest: readings(sigma),
		frames: labels.map((label) =>
			readings(sigma.map((s, k) => (mesh.regionOf[k] === label ? (1 + TYPICAL_CHANGE) * s : s))),
		),
	};
}
