import type { Outline } from "../limb/outline.ts";
import type { Band } from "./band.ts";

/** Where a band's electrodes lie on the skin line, as arc lengths (m) of the outline they were placed on. */
export interface PlacedElectrodes {
	readonly count: number;
	/** [count] in [0, circumference). */
	readonly start: Float64Array;
	/** [count] start + width along the outline anticlockwise; beyond the circumference where it wraps around. */
	readonly end: Float64Array;
}

export const MIN_ELECTRODES = 8;
export const MAX_ELECTRODES = 64;

/** Skin left between two electrodes, at least, as a share of their width: less can be neither built nor meshed. */
const LEAST_GAP = 0.02;

/**
 * Lays the band around the outline. Electrode 0's centre lies at the polar angle `band.firstAngle`.
 *
 * @throws RangeError in one sentence when the count, width, angle or positions are impossible or electrodes
 * overlap
 */
export function placeElectrodes(outline: Outline, band: Band): PlacedElectrodes {
	const { electrodeCount: count, electrodeWidth: width, positions } = band;
	if (!(Number.isInteger(count) && count >= MIN_ELECTRODES && count <= MAX_ELECTRODES)) {
		throw new RangeError(
			`band: ${MIN_ELECTRODES} to ${MAX_ELECTRODES} electrodes are possible, got ${count}`,
		);
	}
	if (!(width > 0 && width < Infinity)) {
		throw new RangeError(`band: the electrode width must be a positive number of metres, got ${width}`);
	}
	if (!Number.isFinite(band.firstAngle)) {
		throw new RangeError(`band: the first electrode's angle must be a number, got ${band.firstAngle}`);
	}
	if (positions && positions.length !== count) {
		throw new RangeError(`band: ${count} electrodes need as many positions, got ${positions.length}`);
	}
	const badPosition = positions?.findIndex((p) => !(p >= 0 && p < 1)) ?? -1;
	if (badPosition >= 0) {
		throw new RangeError(
			`band: position ${badPosition} must be a share of the circumference in [0, 1), got ${positions?.[badPosition]}`,
		);
	}

	const { circumference } = outline;
	const origin = outline.arcAtAngle(band.firstAngle);
	const sense = band.direction === "clockwise" ? -1 : 1;
	const start = new Float64Array(count);
	const end = new Float64Array(count);
	const first = positions?.[0] ?? 0;
	for (let i = 0; i < count; i++) {
		const share = positions ? positions[i]! - first : i / count;
		const begin = origin + sense * share * circumference - width / 2;
		start[i] = begin - circumference * Math.floor(begin / circumference);
		end[i] = start[i]! + width;
	}

	const order = Array.from(start.keys()).sort((a, b) => start[a]! - start[b]!);
	for (const [k, i] of order.entries()) {
		const next = order[(k + 1) % count]!;
		const nextStart = start[next]! + (k + 1 === count ? circumference : 0);
		if (nextStart - end[i]! < LEAST_GAP * width) {
			const [low, high] = [Math.min(i, next), Math.max(i, next)];
			throw new RangeError(
				`band: electrodes ${low + 1} and ${high + 1} overlap or touch; use narrower or fewer electrodes, ` +
					`or a longer outline (${(1000 * width).toFixed(1)} mm wide, ${(1000 * circumference).toFixed(0)} mm around)`,
			);
		}
	}
	return { count, start, end };
}
