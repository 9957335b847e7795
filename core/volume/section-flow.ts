import { insideFat } from "../limb/muscle-compartment.ts";
import type { VolumeMesh } from "./volume-mesh.ts";
import type { VolumeSubject } from "./volume-subject.ts";

/** Where points of a cross-section lie once the skin, and what is under it, is turned around the limb. */
export interface SectionFlow {
	/**
	 * @param node of a level, from 0
	 * @param turn share of the whole circumference that the skin at this level has moved, anticlockwise
	 * @param scale of the level, as in `StackOptions.scales`
	 * @param into [x, y] m, overwritten
	 */
	placeInto(node: number, turn: number, scale: number, into: Float64Array): void;
}

/** Places along the skin at which the outline is known; between them it is straight. */
const SAMPLES = 1024;

/** Of the way from the centre to the fat: what lies deeper stays where it is, however far in all is of one kind. */
const LEAST_TURNING = 0.1;
/** How far out something that stays may reach: less than this would be sheared to pieces. */
const MOST_STAYING = 0.8;
/** From here on a border is that of the fat, which moves along itself. */
const FAT_BORDER = 0.97;

/**
 * Skin and fat move along themselves, so that both stay where they are as surfaces; what lies deeper follows ever less until
 * the outermost border of conductivities, which stays. Borders between muscles do not count: at rest they conduct alike.
 *
 * Sections at other heights are those of `sectionPlaces`: fat keeps its thickness, all inside of it is stretched along rays.
 *
 * @param sigma [nCells] S/m, alike in all layers
 */
export function createSectionFlow(
	subject: VolumeSubject,
	mesh: VolumeMesh,
	sigma: Float64Array,
): SectionFlow {
	const { outline, taper, fatThickness } = subject;
	const { nodes, levels, nodesPerLevel } = mesh;
	const fat = fatThickness > 0 ? insideFat(outline, fatThickness) : null;
	const [cx, cy] = fat?.centre ?? [0, 0];
	const angle = new Float64Array(SAMPLES + 1);
	const skin = new Float64Array(SAMPLES + 1);
	const muscle = new Float64Array(SAMPLES + 1);
	for (let i = 0; i <= SAMPLES; i++) {
		const [x, y] = outline.pointAt((i / SAMPLES) * outline.circumference);
		const own = Math.atan2(y - cy, x - cx);
		angle[i] = i === 0 ? own : own + 2 * Math.PI * Math.round((angle[i - 1]! - own) / (2 * Math.PI));
		skin[i] = Math.hypot(x - cx, y - cy);
		muscle[i] = fat === null ? skin[i]! : fat.radiusAt(own);
	}

	// of each node: place along the skin in samples, way from the centre to the fat, way from there to the skin
	const along = new Float64Array(nodesPerLevel);
	const inside = new Float64Array(nodesPerLevel);
	const within = new Float64Array(nodesPerLevel);
	const scale = taper.circumferenceAt(levels[0]!) / outline.circumference;
	for (let v = 0; v < nodesPerLevel; v++) {
		const x = nodes[3 * v]! - scale * cx;
		const y = nodes[3 * v + 1]! - scale * cy;
		const s = sampleAt(angle, Math.atan2(y, x));
		const edge = valueAt(muscle, s) + (scale - 1) * valueAt(skin, s);
		const layer = valueAt(skin, s) - valueAt(muscle, s);
		const radius = Math.hypot(x, y);
		along[v] = s;
		inside[v] = Math.min(1, radius / edge);
		within[v] = layer > 0 ? Math.max(0, (radius - edge) / layer) : 0;
	}
	const staying = outermostBorder(mesh, sigma, inside);
	const follows = inside.map((share) => Math.max(0, (share - staying) / (1 - staying)));

	return {
		placeInto(node, turn, at, into) {
			const s = along[node]! + SAMPLES * turn * follows[node]!;
			const turns = Math.floor(s / SAMPLES);
			const a = valueAt(angle, s - SAMPLES * turns) + 2 * Math.PI * turns;
			const edge = valueAt(muscle, s - SAMPLES * turns);
			const whole = valueAt(skin, s - SAMPLES * turns);
			const radius = inside[node]! * (edge + (at - 1) * whole) + within[node]! * (whole - edge);
			into[0] = at * cx + radius * Math.cos(a);
			into[1] = at * cy + radius * Math.sin(a);
		},
	};
}

function outermostBorder(
	{ triangles, regionOf, nodesPerLevel }: VolumeMesh,
	sigma: Float64Array,
	inside: Float64Array,
): number {
	const seen = new Float64Array(nodesPerLevel);
	let outermost = LEAST_TURNING;
	for (const [t, value] of sigma.subarray(0, regionOf.length).entries())
		for (const node of triangles.subarray(3 * t, 3 * t + 3)) {
			if (seen[node] === 0) seen[node] = value;
			else if (seen[node] !== value && inside[node]! < FAT_BORDER)
				outermost = Math.max(outermost, inside[node]!);
		}
	return Math.min(MOST_STAYING, outermost);
}

/** @param angles [SAMPLES + 1] ascending over one turn @returns 0 to SAMPLES */
function sampleAt(angles: Float64Array, angle: number): number {
	const turns = Math.floor((angle - angles[0]!) / (2 * Math.PI));
	const wanted = angle - 2 * Math.PI * turns;
	let low = 0;
	let high = SAMPLES;
	while (high - low > 1) {
		const middle = (low + high) >> 1;
		if (angles[middle]! <= wanted) low = middle;
		else high = middle;
	}
	return low + (wanted - angles[low]!) / (angles[low + 1]! - angles[low]!);
}

/** @param s 0 to SAMPLES */
function valueAt(samples: Float64Array, s: number): number {
	const low = Math.min(SAMPLES - 1, Math.floor(s));
	return samples[low]! + (s - low) * (samples[low + 1]! - samples[low]!);
}
