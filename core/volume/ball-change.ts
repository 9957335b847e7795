import type { ReadingPattern } from "../band/band.ts";
import { circlePoints } from "../limb/region-shapes.ts";
import { createTaper } from "../limb/taper.ts";
import { readingsFrom } from "../physics/solve-forward.ts";
import type { Ball } from "./ball.ts";
import type { ExtrudedBody } from "./extruded-body.ts";
import { meshVolume, restSigmaOf } from "./mesh-volume.ts";
import { createVolumeSolver } from "./volume-forward.ts";
import type { VolumeMesh } from "./volume-mesh.ts";
import type { VolumeSubject } from "./volume-subject.ts";

const USUAL_CELLS = 60_000;

/**
 * By how much balls change the readings of a body at one ampere, V. Both states are solved on one mesh of tetrahedra, so
 * that its errors, the same in both, cancel. Of the change 5 to 20 % of error are left (most for good conductors), which
 * is far less than one per cent of the readings unless a ball fills much of the body.
 *
 * @throws RangeError in one sentence when the body cannot be meshed
 */
export function changeByBalls(
	body: ExtrudedBody,
	balls: readonly Ball[],
	pattern: ReadingPattern,
	targetCells = USUAL_CELLS,
): Float64Array {
	const subject = subjectOf(body);
	const mesh = meshVolume(subject, targetCells);
	const solver = createVolumeSolver(mesh);
	const without = restSigmaOf(subject, mesh);
	const [before, after] = [without, withBalls(mesh, without, balls)].map((sigma) =>
		readingsFrom(solver.solve(sigma, body.contactImpedance), pattern, 1),
	) as [Float64Array, Float64Array];
	return after.map((value, r) => value - before[r]!);
}

function subjectOf(body: ExtrudedBody): VolumeSubject {
	const { outline, band, bands, rods } = body;
	return {
		outline,
		regions: rods.map(({ center, radius, sigma }, i) => ({
			id: String(i),
			name: String(i),
			tissue: "muscle",
			points: circlePoints(center, radius),
			sigma,
			inTrends: false,
		})),
		fatThickness: 0,
		backgroundSigma: body.backgroundSigma,
		taper: createTaper([{ z: 0, circumference: outline.circumference }]),
		extent: { from: 0, to: body.height },
		bands: bands.map(({ from, to }) => ({ z: (from + to) / 2, electrodeHeight: to - from, band })),
		contactImpedance: body.contactImpedance,
		side: null,
	};
}

/** Points along each direction of a prism that are asked which ball holds them. */
const SAMPLES = 4;

/**
 * Where balls fill part of a cell the cell gets the conductivity σ̄ of a suspension of small balls, (σ̄ − σ₀)/(σ̄ + 2σ₀) =
 * Σ f·(σ₁ − σ₀)/(σ₁ + 2σ₀) for shares f (Maxwell, Treatise, §314): it then answers to a field as strongly as its share of
 * the ball does.
 */
function withBalls(mesh: VolumeMesh, sigma: Float64Array, balls: readonly Ball[]): Float64Array {
	const mixed = sigma.slice();
	const { nodes, triangles, levels, nodesPerLevel, regionOf } = mesh;
	for (let k = 0; k < sigma.length; k++) {
		const own = sigma[k]!;
		const layer = Math.floor(k / regionOf.length);
		const t = k % regionOf.length;
		const corners = [0, 1, 2].map((i) => 3 * (layer * nodesPerLevel + triangles[3 * t + i]!));
		let strength = 0;
		let count = 0;
		for (let i = 0; i < SAMPLES; i++)
			for (let j = 0; i + j < SAMPLES; j++) {
				const [b, c] = [(i + 1 / 3) / SAMPLES, (j + 1 / 3) / SAMPLES];
				const weights = [1 - b - c, b, c];
				const x = corners.reduce((sum, node, corner) => sum + weights[corner]! * nodes[node]!, 0);
				const y = corners.reduce((sum, node, corner) => sum + weights[corner]! * nodes[node + 1]!, 0);
				for (let s = 0; s < SAMPLES; s++) {
					const z = levels[layer]! + ((s + 0.5) / SAMPLES) * (levels[layer + 1]! - levels[layer]!);
					const ball = balls.findLast(
						({ center, radius }) => Math.hypot(x - center[0], y - center[1], z - center[2]) < radius,
					);
					count++;
					if (ball !== undefined) strength += (ball.sigma - own) / (ball.sigma + 2 * own);
				}
			}
		const beta = strength / count;
		mixed[k] = (own * (1 + 2 * beta)) / (1 - beta);
	}
	return mixed;
}
