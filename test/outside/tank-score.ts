import type { Point } from "../../core/limb/limb.ts";
import type { RecordedTarget } from "../../core/picture/recording-file.ts";
import type { FramePicture, PictureGroup } from "../../core/picture/recording-pictures.ts";

/** A picture as it is judged. */
export interface JudgedPicture {
	/** [nCells × 2] m */
	readonly centres: ArrayLike<number>;
	/** [nCells] m² */
	readonly areas: ArrayLike<number>;
	/** [nCells] */
	readonly change: ArrayLike<number>;
	/** [nCells × 3] */
	readonly triangles: ArrayLike<number>;
}

/**
 * The rule that the measured tanks are judged by. A target is found when the picture has a local extremum of the
 * target's sign within `near` of it, of at least a quarter of the picture's largest magnitude. Its position is the
 * centroid, weighted by change times area, of the cells in that neighbourhood that exceed half of the extremum.
 *
 * @returns distance of that position from the target, m; null where it was not found
 */
export function positionError(picture: JudgedPicture, target: RecordedTarget, near: number): number | null {
	const { centres, areas, change } = picture;
	const sign = target.kind === "conductive" ? 1 : -1;
	const extrema = localMaxima(picture, sign);
	let largest = 0;
	let extremum = 0;
	const isNear = (k: number) => distance(centres, k, target.center) <= near;
	for (let k = 0; k < change.length; k++) {
		largest = Math.max(largest, Math.abs(change[k]!));
		if (extrema[k] === 1 && isNear(k)) extremum = Math.max(extremum, sign * change[k]!);
	}
	if (extremum <= 0 || extremum < largest / 4) return null;
	let total = 0;
	let x = 0;
	let y = 0;
	for (let k = 0; k < change.length; k++) {
		const value = sign * change[k]!;
		if (value <= extremum / 2 || !isNear(k)) continue;
		total += value * areas[k]!;
		x += value * areas[k]! * centres[2 * k]!;
		y += value * areas[k]! * centres[2 * k + 1]!;
	}
	return Math.hypot(x / total - target.center[0], y / total - target.center[1]);
}

function distance(centres: ArrayLike<number>, k: number, [x, y]: Point): number {
	return Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y);
}

/** 1 for cells that no neighbour (sharing a corner) exceeds. */
function localMaxima({ change, triangles }: JudgedPicture, sign: number): Uint8Array {
	const highestAt = new Map<number, number>();
	for (let i = 0; i < triangles.length; i++) {
		const value = sign * change[Math.floor(i / 3)]!;
		highestAt.set(triangles[i]!, Math.max(highestAt.get(triangles[i]!) ?? -Infinity, value));
	}
	return Uint8Array.from({ length: change.length }, (_, k) => {
		const corners = [0, 1, 2].map((c) => highestAt.get(triangles[3 * k + c]!)!);
		return sign * change[k]! >= Math.max(...corners) ? 1 : 0;
	});
}

export interface TankScore {
	readonly targets: number;
	readonly found: number;
	/** Of the found ones, percent of the radius; 90th by linear interpolation. */
	readonly medianPercent: number;
	readonly ninetiethPercent: number;
}

/** Judges all frames of a group whose targets are known. @param near m */
export function scoreRecording(
	group: PictureGroup,
	pictures: Iterable<FramePicture>,
	near: number,
	radius: number,
): TankScore {
	return scoreOf(positionErrors(group, pictures, near), radius);
}

/** m for each target of each frame; null where it was not found. */
export function positionErrors(
	{ frames, model }: PictureGroup,
	pictures: Iterable<FramePicture>,
	near: number,
): (number | null)[] {
	const { cellCentres: centres, cellAreas: areas, triangles } = model.geometry;
	const errors: (number | null)[] = [];
	for (const { id, change } of pictures) {
		const { targets } = frames.find((frame) => frame.id === id)!;
		for (const target of targets) {
			errors.push(positionError({ centres, areas, triangles, change }, target, near));
		}
	}
	return errors;
}

/** @param errors m, null for targets that were not found */
export function scoreOf(errors: readonly (number | null)[], radius: number): TankScore {
	const percents = errors.flatMap((error) => (error === null ? [] : [(100 * error) / radius]));
	percents.sort((a, b) => a - b);
	return {
		targets: errors.length,
		found: percents.length,
		medianPercent: quantile(percents, 0.5),
		ninetiethPercent: quantile(percents, 0.9),
	};
}

function quantile(sorted: readonly number[], share: number): number {
	const at = share * (sorted.length - 1);
	const below = Math.floor(at);
	return sorted[below]! + (at - below) * ((sorted[below + 1] ?? sorted[below]!) - sorted[below]!);
}
