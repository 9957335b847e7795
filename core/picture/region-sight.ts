import type { ReadingPattern } from "../band/band.ts";
import { solveForward } from "../physics/solve-forward.ts";
import { cellAreas } from "./image-rows.ts";
import { meshSubject, type PictureModel, restSigma } from "./picture-model.ts";
import { sensitivity } from "./sensitivity.ts";
import { createSmallChanges } from "./small-changes.ts";
import type { PictureSubject } from "./subject.ts";

/** How well a band sees one followed region, when all of it changes by a tenth of its conductivity. */
export interface RegionSight {
	readonly id: string;
	readonly name: string;
	/** Its mean over the true change; 1 would be all of it. */
	readonly share: number;
	/** The largest mean of another region, of either sign, over its own. */
	readonly leak: number;
	/** Its mean over the standard deviation of that mean at rest; null where no noise was measured. */
	readonly signalToNoise: number | null;
	/** `well` needs all three: at least half of the change is shown, other regions show at most a third of it, and it
	 *  stands 10 deviations above the noise. Else the first that fails. The limits are this project's; no source. */
	readonly verdict: "well" | "too little of it is shown" | "others show it too" | "noise hides it";
}

const CHANGE = 0.1;
export const LEAST_SHARE = 0.5;
export const MOST_LEAK = 1 / 3;
export const LEAST_SIGNAL = 10;

/** @param model of the same subject and pattern */
export function regionSights(
	subject: PictureSubject,
	pattern: ReadingPattern,
	model: PictureModel,
): RegionSight[] {
	const changes = createSmallChanges(subject, pattern, model);
	return model.trendRegions.map(({ id, name }, i) => {
		const label = subject.regions.findIndex((region) => region.id === id) + 1;
		const change = CHANGE * subject.regions[label - 1]!.sigma;
		const { regionMeans } = changes.picture(
			Float64Array.from(changes.mesh.regionOf, (at) => (at === label ? change : 0)),
		);
		const own = regionMeans[i]!;
		const others = regionMeans.reduce(
			(most, mean, j) => (j === i ? most : Math.max(most, Math.abs(mean))),
			0,
		);
		const noise = model.regionNoise?.[i] ?? null;
		const sight = {
			share: own / change,
			leak: own > 0 ? others / own : Number.POSITIVE_INFINITY,
			signalToNoise: noise === null ? null : own / noise,
		};
		return { id, name, ...sight, verdict: verdictOf(sight) };
	});
}

function verdictOf({
	share,
	leak,
	signalToNoise,
}: Pick<RegionSight, "share" | "leak" | "signalToNoise">): RegionSight["verdict"] {
	if (share < LEAST_SHARE) return "too little of it is shown";
	if (leak > MOST_LEAK) return "others show it too";
	return signalToNoise !== null && signalToNoise < LEAST_SIGNAL ? "noise hides it" : "well";
}

/**
 * How strongly all readings together answer to a change at each place: the root of the sum of squares of the readings'
 * sensitivities for a square metre, each in its noise, over the largest. [nTriangles of the model's geometry], 0 to 1.
 *
 * @param model of the same subject and pattern, made with the same number of triangles
 * @param noise [nReadings] in the model's unit; null: all alike
 * @throws RangeError when the model has another mesh
 */
export function sensitivityMap(
	subject: PictureSubject,
	pattern: ReadingPattern,
	model: PictureModel,
	noise: Float64Array | null,
	targetTriangles?: number,
): Float64Array {
	const mesh = meshSubject(subject, targetTriangles);
	const areas = cellAreas(mesh);
	const cellCount = areas.length;
	if (cellCount !== model.geometry.cellAreas.length) {
		throw new RangeError("sensitivity map: the model has another mesh");
	}
	const field = solveForward(mesh, restSigma(subject, mesh), subject.contactImpedance);
	const rows = sensitivity(mesh, field, pattern.terminals);
	const squares = new Float64Array(cellCount);
	for (let r = 0; r < model.readingCount; r++) {
		const deviation = noise === null ? 1 : noise[r]! * Math.abs(model.ohmMetrePerUnit[r]!);
		for (let k = 0; k < cellCount; k++)
			squares[k]! += (rows[r * cellCount + k]! / deviation / areas[k]!) ** 2;
	}
	const largest = Math.sqrt(Math.max(...squares));
	return squares.map((square) => Math.sqrt(square) / largest);
}
