import { createSectionFlow } from "./section-flow.ts";
import type { VolumeMesh } from "./volume-mesh.ts";
import { bandStretches, type VolumeSubject } from "./volume-subject.ts";

/** How a mesh follows when its bands move on a limb that stays as it is: two ways for each band, in turn. */
export interface BandMoves {
	/** Twice as many as bands. */
	readonly count: number;
	/** @param moves [count] of each band its slide, m along the limb, and its twist, rad anticlockwise: the skin's way
	 *  around by the section's mean radius
	 *  @returns [nNodes × 3] m */
	nodesAfter(moves: ArrayLike<number>): Float64Array;
}

/**
 * A slide takes a band's layers along, those beside it in proportion to their distance, so that the next band stays where
 * it is; nodes keep to their line along the limb, so that the limb keeps its taper and its regions. A twist takes the skin
 * around, see `createSectionFlow`.
 *
 * @param sigma [nCells] S/m at rest
 */
export function createBandMoves(subject: VolumeSubject, mesh: VolumeMesh, sigma: Float64Array): BandMoves {
	const { outline, taper } = subject;
	const { nodes, levels, nodesPerLevel } = mesh;
	const stretches = bandStretches(subject);
	const last = levels.length - 1;
	const flow = createSectionFlow(subject, mesh, sigma);
	const scaleAt = (z: number) => taper.circumferenceAt(z) / outline.circumference;
	const shares = stretches.map(({ from, to }) => {
		const below = Math.max(
			levels[0]!,
			...stretches.filter((other) => other.to <= from).map(({ to: z }) => z),
		);
		const above = Math.min(
			levels[last]!,
			...stretches.filter((other) => other.from >= to).map(({ from: z }) => z),
		);
		return levels.map((z) => {
			if (z < from) return Math.max(0, (z - below) / (from - below));
			return z > to ? Math.max(0, (above - z) / (above - to)) : 1;
		});
	});
	return {
		count: 2 * stretches.length,
		nodesAfter(moves) {
			const moved = nodes.slice();
			const before = new Float64Array(2);
			const after = new Float64Array(2);
			for (let k = 0; k <= last; k++) {
				let slide = 0;
				let twist = 0;
				for (const [b, share] of shares.entries()) {
					slide += share[k]! * moves[2 * b]!;
					twist += share[k]! * moves[2 * b + 1]!;
				}
				if (slide === 0 && twist === 0) continue;
				const scale = scaleAt(levels[k]!);
				const next = scaleAt(levels[k]! + slide);
				for (let v = 0; v < nodesPerLevel; v++) {
					// what tables of the outline are off by is taken off again
					flow.placeInto(v, 0, scale, before);
					flow.placeInto(v, twist / (2 * Math.PI), next, after);
					const at = 3 * (k * nodesPerLevel + v);
					moved[at]! += after[0]! - before[0]!;
					moved[at + 1]! += after[1]! - before[1]!;
					moved[at + 2]! += slide;
				}
			}
			return moved;
		},
	};
}

/** Of the gap between two bands, what stays when they come nearer to each other: closer, and what they read of each other
 *  follows no polynomial any more. */
const LEAST_GAP = 0.45;

/**
 * Slides shortened where they would take a band onto the next, all of one position alike.
 *
 * @param positions each [2 · bands] as in `BandMoves`, slides in units of `slide`
 * @param slide m
 */
export function heldApart(
	positions: readonly Float64Array[],
	subject: Pick<VolumeSubject, "bands" | "extent">,
	slide: number,
): Float64Array[] {
	const stretches = bandStretches(subject);
	const upwards = [...stretches.keys()].sort((a, b) => stretches[a]!.from - stretches[b]!.from);
	return positions.map((moves) => {
		let share = 1;
		for (const [i, above] of upwards.slice(1).entries()) {
			const below = upwards[i]!;
			const room = (1 - LEAST_GAP) * (stretches[above]!.from - stretches[below]!.to);
			const nearer = slide * (moves[2 * below]! - moves[2 * above]!);
			if (nearer > room) share = Math.min(share, room / nearer);
		}
		return moves.map((p, m) => (m % 2 === 0 ? share * p : p));
	});
}
