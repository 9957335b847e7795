import { skinOf } from "./volume-geometry.ts";
import type { VolumeMesh } from "./volume-mesh.ts";
import { bandStretches, type VolumeSubject } from "./volume-subject.ts";

/** How a mesh follows when its bands move on a limb that stays as it is: two ways for each band, in turn. */
export interface BandMoves {
	/** Twice as many as bands. */
	readonly count: number;
	/** Of each: [nNodes × 3] m for a slide of one metre along the limb, then m for a twist of one radian, anticlockwise. */
	readonly velocities: readonly Float64Array[];
}

/**
 * A slide takes a band's layers along, those beside it in proportion to their distance, so that the next band stays where
 * it is; nodes keep to their line along the limb, so that the limb keeps its taper and its regions. A twist takes the skin
 * around, by the angle times the section's mean radius, and what lies under it ever less until the first border of a
 * region, so that only what is alike all around moves.
 */
export function bandMoves(subject: VolumeSubject, mesh: VolumeMesh): BandMoves {
	const { levels } = mesh;
	const stretches = bandStretches(subject);
	const last = levels.length - 1;
	const around = twistOf(mesh);
	const along = slideOf(mesh);
	const velocities: Float64Array[] = [];
	for (const { from, to } of stretches) {
		const below = Math.max(
			levels[0]!,
			...stretches.filter((other) => other.to <= from).map(({ to: z }) => z),
		);
		const above = Math.min(
			levels[last]!,
			...stretches.filter((other) => other.from >= to).map(({ from: z }) => z),
		);
		const shares = levels.map((z) => {
			if (z < from) return Math.max(0, (z - below) / (from - below));
			return z > to ? Math.max(0, (above - z) / (above - to)) : 1;
		});
		velocities.push(byLevel(along, shares), byLevel(around, shares));
	}
	return { count: velocities.length, velocities };
}

function byLevel(velocity: Float64Array, shares: Float64Array): Float64Array {
	const perLevel = velocity.length / shares.length;
	return velocity.map((v, i) => v * shares[Math.floor(i / perLevel)]!);
}

/** [nNodes × 3] along each node's own line from level to level, one unit of height. */
function slideOf({ nodes, levels, nodesPerLevel }: VolumeMesh): Float64Array {
	const velocity = new Float64Array(nodes.length);
	const perLevel = 3 * nodesPerLevel;
	for (let k = 0; k < levels.length; k++) {
		const [low, high] = [Math.max(0, k - 1), Math.min(levels.length - 1, k + 1)];
		const height = levels[high]! - levels[low]!;
		for (let i = 0; i < perLevel; i++)
			velocity[k * perLevel + i] = (nodes[high * perLevel + i]! - nodes[low * perLevel + i]!) / height;
	}
	return velocity;
}

/** Of the limb's radius: how deep a twist goes where no border of a region is nearer. */
const DEEPEST = 0.2;

/** [nNodes × 3] along the skin, for a twist of one radian. */
function twistOf(mesh: VolumeMesh): Float64Array {
	const { nodes, levels, triangles, regionOf, nodesPerLevel } = mesh;
	const skin = skinOf(triangles);
	const velocity = new Float64Array(nodes.length);
	const distance = (a: number, b: number) =>
		Math.hypot(nodes[3 * a]! - nodes[3 * b]!, nodes[3 * a + 1]! - nodes[3 * b + 1]!);
	const border = bordersOf(triangles, regionOf, nodesPerLevel);
	let circumference = 0;
	for (const [i, node] of skin.entries()) circumference += distance(node, skin[(i + 1) % skin.length]!);
	const deepest = (DEEPEST * circumference) / (2 * Math.PI);
	// shares and nearest skin are those of the lowest level: sections are alike
	const follows: { readonly node: number; readonly at: number; readonly share: number }[] = [];
	for (let node = 0; node < nodesPerLevel; node++) {
		let at = 0;
		for (const [i, other] of skin.entries()) if (distance(node, other) < distance(node, skin[at]!)) at = i;
		const depth = distance(node, skin[at]!);
		if (depth >= deepest) continue;
		let inner = deepest - depth;
		for (const other of border) inner = Math.min(inner, distance(node, other));
		const share = depth === 0 ? 1 : inner / (depth + inner);
		if (share > 0) follows.push({ node, at, share });
	}
	for (let k = 0; k < levels.length; k++) {
		const first = k * nodesPerLevel;
		let round = 0;
		for (const [i, node] of skin.entries())
			round += distance(first + node, first + skin[(i + 1) % skin.length]!);
		const radius = round / (2 * Math.PI);
		for (const { node, at, share } of follows) {
			const before = 3 * (first + skin[(at + skin.length - 1) % skin.length]!);
			const after = 3 * (first + skin[(at + 1) % skin.length]!);
			const x = nodes[after]! - nodes[before]!;
			const y = nodes[after + 1]! - nodes[before + 1]!;
			const step = (share * radius) / Math.hypot(x, y);
			velocity[3 * (first + node)] = step * x;
			velocity[3 * (first + node) + 1] = step * y;
		}
	}
	return velocity;
}

/** Nodes of a section that triangles of several regions share. */
function bordersOf(triangles: Uint32Array, regionOf: Uint8Array, nodeCount: number): number[] {
	const seen = new Int16Array(nodeCount).fill(-1);
	const isBorder = new Uint8Array(nodeCount);
	for (const [i, node] of triangles.entries()) {
		const region = regionOf[Math.floor(i / 3)]!;
		if (seen[node] === -1) seen[node] = region;
		else if (seen[node] !== region) isBorder[node] = 1;
	}
	return Array.from(isBorder.keys()).filter((node) => isBorder[node] === 1);
}
