/** Builds what stands still in the volume view: skin, straps, electrodes, rings. All in drawing axes (x to the person's
 *  right, the others as the limb's), which are right-handed. */
import { BufferAttribute, BufferGeometry } from "three";
import { layerAt, type VolumeShape } from "./volume-shape.ts";

/** Distances that keep what lies on another visible, m. */
const ELECTRODE_OUT = 0.0015;
const STRAP_OUT = 0.0006;
const RING_OUT = 0.0025;
const HALF_STRAP = 0.02;

/** [nNodes × 3] positions in drawing axes. */
export function drawnPositions({ positions }: VolumeShape): Float32Array {
	const drawn = positions.slice();
	for (let i = 0; i < drawn.length; i += 3) drawn[i] = -drawn[i]!;
	return drawn;
}

export function skinGeometry(
	{ geometry, lowest, highest }: VolumeShape,
	drawn: Float32Array,
): BufferGeometry {
	const { skin, nodesPerLevel } = geometry;
	const levels = highest - lowest + 1;
	const points = new Float32Array(3 * levels * skin.length);
	for (let k = 0; k < levels; k++)
		for (const [s, node] of skin.entries()) {
			const at = 3 * ((lowest + k) * nodesPerLevel + node);
			points.set(drawn.subarray(at, at + 3), 3 * (k * skin.length + s));
		}
	return stripGeometry(points, levels, skin.length);
}

/** A belt around the skin at a height. */
export function strapGeometry(shape: VolumeShape, drawn: Float32Array, height: number): BufferGeometry {
	const low = skinAt(shape, drawn, height - HALF_STRAP, STRAP_OUT);
	const high = skinAt(shape, drawn, height + HALF_STRAP, STRAP_OUT);
	return bandBetween(low, high);
}

/** A flat ring just outside the skin, in the plane of a cross-section. */
export function ringGeometry(shape: VolumeShape, drawn: Float32Array, height: number): BufferGeometry {
	return bandBetween(skinAt(shape, drawn, height, 0), skinAt(shape, drawn, height, RING_OUT));
}

export function electrodeGeometry(
	{ geometry, middle }: VolumeShape,
	drawn: Float32Array,
	isWanted: (electrode: number) => boolean,
): BufferGeometry {
	const corners: number[] = [];
	for (const [face, electrode] of geometry.electrodeOfFace.entries()) {
		if (!isWanted(electrode)) continue;
		for (let i = 0; i < 3; i++) {
			const at = 3 * geometry.electrodeFaces[3 * face + i]!;
			corners.push(...outwards(drawn[at]!, drawn[at + 1]!, drawn[at + 2]!, middle, ELECTRODE_OUT));
		}
	}
	const made = new BufferGeometry();
	made.setAttribute("position", new BufferAttribute(Float32Array.from(corners), 3));
	return made;
}

/** Lines between regions in the cross-section at a height. */
export function borderGeometry(shape: VolumeShape, drawn: Float32Array, height: number): BufferGeometry {
	const { geometry, sides } = shape;
	const { below, share } = layerAt(geometry.levels, height);
	const points: number[] = [];
	for (const { from, to } of sides)
		for (const node of [from, to])
			for (let axis = 0; axis < 3; axis++) {
				const low = drawn[3 * (below * geometry.nodesPerLevel + node) + axis]!;
				const high = drawn[3 * ((below + 1) * geometry.nodesPerLevel + node) + axis]!;
				points.push(low + share * (high - low));
			}
	const made = new BufferGeometry();
	made.setAttribute("position", new BufferAttribute(Float32Array.from(points), 3));
	return made;
}

/** [nSkin × 3] the skin at a height, moved outwards. */
function skinAt(
	{ geometry, middle }: VolumeShape,
	drawn: Float32Array,
	height: number,
	distance: number,
): Float32Array {
	const { skin, nodesPerLevel, levels } = geometry;
	const { below, share } = layerAt(levels, height);
	const points = new Float32Array(3 * skin.length);
	for (const [s, node] of skin.entries()) {
		const low = 3 * (below * nodesPerLevel + node);
		const high = low + 3 * nodesPerLevel;
		const x = drawn[low]! + share * (drawn[high]! - drawn[low]!);
		const y = drawn[low + 1]! + share * (drawn[high + 1]! - drawn[low + 1]!);
		points.set(outwards(x, y, height, middle, distance), 3 * s);
	}
	return points;
}

/** @param middle in the limb's axes */
function outwards(
	x: number,
	y: number,
	z: number,
	middle: readonly [number, number, number],
	distance: number,
): [number, number, number] {
	const dx = x + middle[0];
	const dy = y - middle[1];
	const length = Math.hypot(dx, dy) || 1;
	return [x + (distance * dx) / length, y + (distance * dy) / length, z];
}

function bandBetween(low: Float32Array, high: Float32Array): BufferGeometry {
	const points = new Float32Array(2 * low.length);
	points.set(low);
	points.set(high, low.length);
	return stripGeometry(points, 2, low.length / 3);
}

/** Rings of points, one above the other, joined to a surface. */
function stripGeometry(points: Float32Array, rings: number, perRing: number): BufferGeometry {
	const triangles: number[] = [];
	for (let k = 0; k + 1 < rings; k++)
		for (let s = 0; s < perRing; s++) {
			const a = k * perRing + s;
			const b = k * perRing + ((s + 1) % perRing);
			triangles.push(a, b, b + perRing, a, b + perRing, a + perRing);
		}
	const made = new BufferGeometry();
	made.setAttribute("position", new BufferAttribute(points, 3));
	made.setIndex(triangles);
	made.computeVertexNormals();
	return made;
}
