import type { Band } from "../../core/band/band.ts";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import { createPattern } from "../../core/band/patterns.ts";
import type { Point } from "../../core/limb/limb.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import type { Setup } from "../../core/physics/case.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { cellCentres } from "../../core/picture/image-rows.ts";
import type { RecordedFrame, Recording } from "../../core/picture/recording-file.ts";
import { createRandom } from "./plain-algebra.ts";

/** Half-width of the error of each reading's change, as a share: uniform, so 4.5 % is √3 times the deviation. */
const GAIN_ERROR = 0.045 * Math.sqrt(3);
/** Noise that does not depend on the change, as a share of the frame's root mean square. */
const NOISE = 0.0008 * Math.sqrt(3);
const TRIANGLES = 9000;

export interface SimulatedTankOptions {
	readonly electrodeCount: 16 | 32;
	readonly frames: number;
	readonly seed: number;
}

interface Body {
	readonly outline: readonly Point[];
	readonly center: Point;
	readonly reach: number;
}

/**
 * A tank of 14 cm radius on a mesh of its own, finer than the picture's, with one to four bodies in each frame: discs,
 * triangles, squares and bars, far better or far worse conductors than the water, at least 4 mm apart.
 */
export function simulateTank({ electrodeCount, frames, seed }: SimulatedTankOptions): Recording {
	const random = createRandom(seed);
	const between = (low: number, high: number) => low + ((high - low) * (random() + 1)) / 2;
	const radius = 0.14;
	const outline = createOutline({ type: "circle", radius });
	const band: Band = {
		electrodeCount,
		electrodeWidth: 0.4 / electrodeCount,
		firstAngle: Math.PI / 2,
		direction: "clockwise",
	};
	const electrodes = placeElectrodes(outline, band);
	const pattern = createPattern(electrodeCount, "adjacent");
	const contactImpedance = new Float64Array(electrodeCount).fill(1e-4);
	const setup: Setup = {
		name: "simulated",
		outline,
		band,
		electrodes,
		contactImpedance,
		backgroundSigma: 0.03,
		regions: [],
		pattern,
		current: new Float64Array(pattern.terminals.length / 4).fill(0.02),
	};

	const mesh = meshLimb({ outline, electrodes, regions: [], targetTriangles: TRIANGLES });
	const centres = cellCentres(mesh);
	const solver = createMeshSolver(mesh);
	const water = new Float64Array(centres.length / 2).fill(0.03);
	const rest = readingsFrom(solver.solve(water, contactImpedance), pattern, setup.current);
	const level = Math.sqrt(rest.reduce((sum, v) => sum + v * v, 0) / rest.length);

	const recorded: RecordedFrame[] = [];
	while (recorded.length < frames) {
		const kinds = (["conductive", "resistive", "mixed"] as const)[Math.floor(between(0, 2.999))]!;
		const bodies = placeBodies(Math.floor(between(1, 4.999)), radius, between);
		const sigma = water.slice();
		const targets = bodies.map(({ outline: shape, center }) => {
			const kind = kinds === "mixed" ? (random() > 0 ? "conductive" : "resistive") : kinds;
			for (let k = 0; k < sigma.length; k++) {
				if (isInside(shape, centres[2 * k]!, centres[2 * k + 1]!)) {
					sigma[k] = 0.03 * (kind === "conductive" ? 50 : 0.01);
				}
			}
			return { kind, center } as const;
		});
		const readings = readingsFrom(solver.solve(sigma, contactImpedance), pattern, setup.current);
		recorded.push({
			id: String(recorded.length),
			rest: "rest",
			voltages: readings.map(
				(v, r) => rest[r]! + (v - rest[r]!) * (1 + GAIN_ERROR * random()) + NOISE * level * random(),
			),
			targets,
		});
	}
	return { setup, rests: new Map([["rest", rest]]), frames: recorded };
}

function placeBodies(count: number, radius: number, between: (low: number, high: number) => number): Body[] {
	const bodies: Body[] = [];
	for (let attempt = 0; bodies.length < count && attempt < 400; attempt++) {
		const { points, reach } = createShape(between);
		const center: Point = [between(-radius, radius), between(-radius, radius)];
		const isFree =
			Math.hypot(...center) < radius - reach - 0.006 &&
			bodies.every((other) => {
				const apart = Math.hypot(other.center[0] - center[0], other.center[1] - center[1]);
				return apart > other.reach + reach + 0.004;
			});
		if (isFree) {
			bodies.push({
				outline: points.map(([x, y]): Point => [x + center[0], y + center[1]]),
				center,
				reach,
			});
		}
	}
	return bodies;
}

/** A shape about the origin whose area is that of a disc of 16 to 37 mm radius. */
function createShape(between: (low: number, high: number) => number): {
	points: readonly Point[];
	reach: number;
} {
	const corners = [40, 3, 4, 4][Math.floor(between(0, 3.999))]!;
	const flat = corners === 4 ? between(0.4, 1) : 1;
	const turn = between(0, Math.PI);
	const unit = Array.from({ length: corners }, (_, i): Point => {
		const angle = (2 * Math.PI * (i + 0.5)) / corners;
		return [Math.cos(angle), flat * Math.sin(angle)];
	});
	const area = (corners / 2) * Math.sin((2 * Math.PI) / corners) * flat;
	const scale = between(0.016, 0.037) * Math.sqrt(Math.PI / area);
	const points = unit.map(
		([x, y]): Point => [
			scale * (x * Math.cos(turn) - y * Math.sin(turn)),
			scale * (x * Math.sin(turn) + y * Math.cos(turn)),
		],
	);
	return { points, reach: Math.max(...points.map(([x, y]) => Math.hypot(x, y))) };
}

function isInside(outline: readonly Point[], x: number, y: number): boolean {
	let inside = false;
	for (const [i, [x1, y1]] of outline.entries()) {
		const [x2, y2] = outline[(i + 1) % outline.length]!;
		if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) inside = !inside;
	}
	return inside;
}
