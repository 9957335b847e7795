import type { ReadingPattern } from "../band/band.ts";
import type { Point } from "../limb/limb.ts";
import { type FiguresOfMerit, figuresOfMerit } from "./figures-of-merit.ts";
import { centreOfArea } from "./image-rows.ts";
import type { PictureModel } from "./picture-model.ts";
import { createSmallChanges } from "./small-changes.ts";
import type { PictureSubject } from "./subject.ts";

/** Figures of merit of a small target that is moved from the middle to the skin; arrays of one length. */
export interface MeritAlongRadius extends Readonly<Record<keyof FiguresOfMerit, Float64Array>> {
	/** Place of the target's centre, as a share of the way from the middle to the skin. */
	readonly place: Float64Array;
	/** m, of the target. */
	readonly targetRadius: number;
	/** m, from the middle to the skin. */
	readonly reach: number;
}

export interface MeritOptions {
	readonly subject: PictureSubject;
	readonly pattern: ReadingPattern;
	/** Of the same subject and pattern, with cells as values. */
	readonly model: PictureModel;
	/** Direction of the radius, radians from +x anticlockwise; the middle is the section's centre of area. */
	readonly angle: number;
	readonly places?: number;
}

/** Of the radius of a disc of the section's area: as in the consensus (from memory). */
const TARGET_SHARE = 0.05;
const PLACES = 19;

/** @throws RangeError when the model pictures nodes */
export function meritAlongRadius(options: MeritOptions): MeritAlongRadius {
	const { subject, pattern, model, angle } = options;
	if (model.values !== "cells")
		throw new RangeError("figures of merit: a model with cells as values is needed");
	const changes = createSmallChanges(subject, pattern, model);
	const { centres, areas } = changes;
	const { x, y, area } = centreOfArea(centres, areas);
	const middle: Point = [x, y];
	const targetRadius = TARGET_SHARE * Math.sqrt(area / Math.PI);
	const reach = distanceToSkin(model, middle, angle);
	const count = options.places ?? PLACES;
	const place = Float64Array.from(
		{ length: count },
		(_, i) => (i / (count - 1)) * (1 - (1.2 * targetRadius) / reach),
	);
	const figures = Array.from(place, (share) => {
		const centre: Point = [
			middle[0] + share * reach * Math.cos(angle),
			middle[1] + share * reach * Math.sin(angle),
		];
		const change = areas.map((_, k) =>
			Math.hypot(centres[2 * k]! - centre[0], centres[2 * k + 1]! - centre[1]) <= targetRadius ? 1 : 0,
		);
		const shown = change.reduce((sum, c, k) => sum + c * areas[k]!, 0);
		const { values } = changes.picture(change);
		const { cellCentres, cellAreas } = model.geometry;
		return figuresOfMerit(
			{ centres: cellCentres, areas: cellAreas, change: values },
			{ centre, area: shown, change: 1 },
			middle,
		);
	});
	const column = (key: keyof FiguresOfMerit) => Float64Array.from(figures, (figure) => figure[key]);
	return {
		place,
		targetRadius,
		reach,
		amplitude: column("amplitude"),
		positionError: column("positionError"),
		resolution: column("resolution"),
		shapeDeformation: column("shapeDeformation"),
		ringing: column("ringing"),
	};
}

/** From a point inside, along a ray, to the skin's polygon. */
function distanceToSkin({ geometry }: PictureModel, [x, y]: Point, angle: number): number {
	const { skin } = geometry;
	const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
	let farthest = 0;
	for (const [i, a] of skin.entries()) {
		const b = skin[(i + 1) % skin.length]!;
		const [ex, ey] = [b[0] - a[0], b[1] - a[1]];
		const cross = dx * ey - dy * ex;
		if (cross === 0) continue;
		const along = ((a[0] - x) * ey - (a[1] - y) * ex) / cross;
		const across = ((a[0] - x) * dy - (a[1] - y) * dx) / cross;
		if (across >= 0 && across <= 1) farthest = Math.max(farthest, along);
	}
	return farthest;
}
