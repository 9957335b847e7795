/** Where names go on a picture: pure geometry, in canvas pixels. */
import type { Box } from "./limb-view.ts";

/** [2 × n] x, y of a closed outline. */
export type Outline = Float64Array;

/** Even–odd rule. */
export function isInside(outline: Outline, x: number, y: number): boolean {
	let inside = false;
	for (let i = 0, j = outline.length - 2; i < outline.length; j = i, i += 2) {
		const yi = outline[i + 1]!;
		const yj = outline[j + 1]!;
		if (yi > y !== yj > y && x < outline[i]! + ((y - yi) / (yj - yi)) * (outline[j]! - outline[i]!)) {
			inside = !inside;
		}
	}
	return inside;
}

/** Distance to the nearest point of the outline, positive inside, negative outside. */
export function clearance(outline: Outline, x: number, y: number): number {
	let nearest = Infinity;
	for (let i = 0, j = outline.length - 2; i < outline.length; j = i, i += 2) {
		const ax = outline[j]!;
		const ay = outline[j + 1]!;
		const dx = outline[i]! - ax;
		const dy = outline[i + 1]! - ay;
		const along = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
		nearest = Math.min(nearest, Math.hypot(x - ax - along * dx, y - ay - along * dy));
	}
	return isInside(outline, x, y) ? nearest : -nearest;
}

export function boundsOf(outline: Outline): Box {
	let left = Infinity;
	let right = -Infinity;
	let top = Infinity;
	let bottom = -Infinity;
	for (let i = 0; i < outline.length; i += 2) {
		left = Math.min(left, outline[i]!);
		right = Math.max(right, outline[i]!);
		top = Math.min(top, outline[i + 1]!);
		bottom = Math.max(bottom, outline[i + 1]!);
	}
	return { left, top, right, bottom };
}

const GRID = 24;

/** A centre for a box of this size wholly inside the outline with the most room around it, or null. */
export function placeInside(
	outline: Outline,
	width: number,
	height: number,
	blocked: readonly Box[],
): { readonly x: number; readonly y: number } | null {
	const bounds = boundsOf(outline);
	let best: { x: number; y: number } | null = null;
	let mostRoom = 0;
	for (let i = 1; i < GRID; i++) {
		for (let j = 1; j < GRID; j++) {
			const x = bounds.left + ((bounds.right - bounds.left) * i) / GRID;
			const y = bounds.top + ((bounds.bottom - bounds.top) * j) / GRID;
			const room = boxRoom(outline, x, y, width / 2, height / 2);
			if (room > mostRoom && !blocked.some((box) => overlaps(box, x, y, width, height))) {
				mostRoom = room;
				best = { x, y };
			}
		}
	}
	return best;
}

/**
 * A centre for a box that may reach over the outline's edge: as deep inside as possible, clear of what is blocked.
 * Null when the outline is too thin to tell whose name it is: less than `depth` px of room at the centre.
 */
export function placeOver(
	outline: Outline,
	width: number,
	height: number,
	depth: number,
	blocked: readonly Box[],
): { readonly x: number; readonly y: number } | null {
	const bounds = boundsOf(outline);
	let best: { x: number; y: number } | null = null;
	let mostRoom = depth;
	for (let i = 1; i < GRID; i++) {
		for (let j = 1; j < GRID; j++) {
			const x = bounds.left + ((bounds.right - bounds.left) * i) / GRID;
			const y = bounds.top + ((bounds.bottom - bounds.top) * j) / GRID;
			const room = clearance(outline, x, y);
			if (room > mostRoom && !blocked.some((box) => overlaps(box, x, y, width, height))) {
				mostRoom = room;
				best = { x, y };
			}
		}
	}
	return best;
}

/** The point with the most room inside the outline: where a leader ends. */
export function innermostPoint(outline: Outline): { readonly x: number; readonly y: number } {
	const bounds = boundsOf(outline);
	let best = { x: (bounds.left + bounds.right) / 2, y: (bounds.top + bounds.bottom) / 2 };
	let mostRoom = Number.NEGATIVE_INFINITY;
	for (let i = 1; i < GRID; i++) {
		for (let j = 1; j < GRID; j++) {
			const x = bounds.left + ((bounds.right - bounds.left) * i) / GRID;
			const y = bounds.top + ((bounds.bottom - bounds.top) * j) / GRID;
			const room = clearance(outline, x, y);
			if (room > mostRoom) {
				mostRoom = room;
				best = { x, y };
			}
		}
	}
	return best;
}

/** Room around a box: the least clearance of eight points on its rim, or 0 when one lies outside. */
function boxRoom(outline: Outline, x: number, y: number, halfWidth: number, halfHeight: number): number {
	let room = Infinity;
	for (let i = -1; i <= 1; i++) {
		for (let j = -1; j <= 1; j++) {
			if (i === 0 && j === 0) continue;
			room = Math.min(room, clearance(outline, x + i * halfWidth, y + j * halfHeight));
			if (room <= 0) return 0;
		}
	}
	return room;
}

function overlaps(box: Box, x: number, y: number, width: number, height: number): boolean {
	return (
		x - width / 2 < box.right &&
		x + width / 2 > box.left &&
		y - height / 2 < box.bottom &&
		y + height / 2 > box.top
	);
}

/**
 * Moves wished-for positions apart along one axis so that neighbours are at least `pitch` from each other and all lie
 * between `low` and `high`, each as near to its wish as the others allow (groups settle on their mean). Order is kept:
 * `wishes` must be sorted. Where there is no room for all, they are spaced evenly.
 */
export function spread(wishes: readonly number[], pitch: number, low: number, high: number): number[] {
	const n = wishes.length;
	if (n === 0) return [];
	const step = Math.min(pitch, n > 1 ? (high - low) / (n - 1) : pitch);
	const groups: { size: number; sum: number }[] = [];
	const startOf = (group: { size: number; sum: number }): number =>
		Math.max(low, Math.min(high - (group.size - 1) * step, group.sum / group.size));
	for (const wish of wishes) {
		// `sum` holds where each member would have the group begin.
		let group = { size: 1, sum: wish };
		for (;;) {
			const above = groups.at(-1);
			if (above === undefined || startOf(above) + above.size * step <= startOf(group)) break;
			groups.pop();
			group = { size: above.size + group.size, sum: above.sum + group.sum - group.size * above.size * step };
		}
		groups.push(group);
	}
	return groups.flatMap((group) => Array.from({ length: group.size }, (_, i) => startOf(group) + i * step));
}
