import type { ImageRows } from "../picture/image-rows.ts";
import type { Nuisance } from "../picture/nuisance.ts";
import type { TransposedMatrix } from "../picture/reconstruction.ts";
import type { SensitivityRows } from "../picture/sensitivity.ts";
import { bandMoves } from "./band-moves.ts";
import { type SolvedVolume, transferByMoves } from "./move-sensitivity.ts";
import type { VolumeSubject } from "./volume-subject.ts";

/** From the values that a picture's matrix takes to how bands moved since the baseline: for each band in turn its slide, m
 *  along the limb, and its twist, rad anticlockwise. Transposed as in `PictureMatrix`. */
export type MovementRows = TransposedMatrix;

/** How far bands are expected to move: one standard deviation of a slide, m, and of a twist, rad. Common practice, no
 *  source. */
export const USUAL_SLIDE = 0.01;
export const USUAL_TWIST = (5 * Math.PI) / 180;

/** A muscle's change that a movement is weighed against, as a share of its conductivity. */
const TYPICAL_CHANGE = 0.1;

/** Of a reading's answer to a movement: what a mesh of 30,000 cells, a limb's real shape and terms beyond the second order
 *  leave open. With 0.05 a band that slides by 10 mm towards the next shows as 7 and that as 2 the other way, with 0.2 as 9
 *  and 1 on simulated thighs; with more, muscles' answers are damped too much. */
const MODEL_ERROR = 0.2;

const deviationOf = (mode: number): number => (mode % 2 === 0 ? USUAL_SLIDE : USUAL_TWIST);

/**
 * Slides and twists of bands as a nuisance of the reconstruction that is wanted as well. What readings answer to squares
 * and products of them is a nuisance too, so that estimates are right as far as the second order is.
 *
 * Told within 30 % or 1.5 mm on simulated thighs are slides that bring two bands up to 5 mm nearer or 8 mm farther, and 10
 * mm of both; beyond, one band's slide shows partly as the other's (1.6 mm of it where one slides away by 10). Of a slide of
 * both alike only the taper tells: along a cylinder it cannot be seen. A twist of one band against the other is told within
 * 0.8°, but not which of them twisted, and of a twist of both a third to a half: a section is nearly round. A movement's
 * energy in the picture falls to a third at most in all these.
 *
 * @param regions the followed regions as rows of means
 * @param sigma [nRegions] S/m
 * @throws RangeError without regions, for then nothing says how large a change of conductivity is to be expected
 */
export function bandMovement(
	subject: VolumeSubject,
	volume: SolvedVolume,
	regions: ImageRows,
	sigma: readonly number[],
): Nuisance {
	if (regions.count === 0)
		throw new RangeError("movement: it can be told apart only where regions are followed");
	const { count, velocities } = bandMoves(subject, volume.mesh);
	const { first, second } = transferByMoves(
		volume,
		velocities.map((velocity, mode) => velocity.map((v) => deviationOf(mode) * v)),
	);
	const transfers = [...first, ...second.map((z) => z.map((v) => v / 2))];
	return {
		modeCount: transfers.length,
		rows: rowsOfTransfers(transfers, volume.field.electrodeCount),
		regions,
		typicalChange: Float64Array.from(sigma, (s) => TYPICAL_CHANGE * s),
		wanted: { count, error: MODEL_ERROR },
	};
}

/** Rows of one value for each transfer matrix [L × L]: how it shows in readings at one ampere. */
function rowsOfTransfers(transfers: readonly Float64Array[], electrodeCount: number): SensitivityRows {
	return ({ values, stride }, terminals) => {
		for (let row = 0; row < terminals.length / 4; row++) {
			const source = terminals[4 * row]! * electrodeCount;
			const sink = terminals[4 * row + 1]! * electrodeCount;
			const plus = terminals[4 * row + 2]!;
			const minus = terminals[4 * row + 3]!;
			for (const [m, z] of transfers.entries())
				values[row * stride + m] =
					z[source + plus]! - z[sink + plus]! - z[source + minus]! + z[sink + minus]!;
		}
	};
}

/** @param modes in standard deviations */
export function movementRows(modes: TransposedMatrix | null): MovementRows | null {
	if (modes === null) return null;
	const values = modes.values.map((value, i) => {
		const mode = i % modes.rowStride;
		return mode < modes.rowCount ? deviationOf(mode) * value : 0;
	});
	return { ...modes, values };
}
