import type { PictureGeometry, VolumePictureGeometry } from "../../app/contract.ts";
import type { Point } from "../../core/limb/limb.ts";
import { largestLoop, type Side, sidesBetween } from "./region-sides.ts";

/** A volume picture's geometry, ready to be cut and drawn. Lengths in m, in the limb's axes (x to the person's left, y to
 *  the front, z to the hip), which are left-handed. */
export interface VolumeShape {
	readonly geometry: VolumePictureGeometry;
	readonly nodeCount: number;
	/** [nNodes × 3] */
	readonly positions: Float32Array;
	/** [n × 4] of positive volume in right-handed axes: those with x turned round. */
	readonly tetrahedra: Uint32Array;
	/** [bands] of electrodes: number on its band, middle, and the way out of the skin. */
	readonly electrodes: readonly VolumeElectrode[];
	/** Middle of the limb between the outermost bands. */
	readonly middle: readonly [number, number, number];
	/** Largest distance of the skin from the axis through the middle, m. */
	readonly radius: number;
	/** Lowest and highest level that is drawn: what lies beyond is hardly seen by the bands. */
	readonly lowest: number;
	readonly highest: number;
	/** m */
	readonly low: number;
	readonly high: number;
	/** Sides between regions, and those at the skin, nodes of a level. */
	readonly sides: readonly Side[];
	/** [regions] of a level's nodes around each. */
	readonly loops: readonly (readonly number[])[];
}

/** How far beyond the outermost bands the limb is drawn, m. */
const DRAWN_BEYOND = 0.06;

export interface VolumeElectrode {
	readonly band: number;
	/** From 1. */
	readonly number: number;
	readonly middle: readonly [number, number, number];
}

export function createVolumeShape(geometry: VolumePictureGeometry): VolumeShape {
	const { nodes, nodesPerLevel, levels, skin, bandHeights, triangles, regionOf, regions } = geometry;
	const nodeCount = levels.length * nodesPerLevel;
	const positions = new Float32Array(3 * nodeCount);
	for (let i = 0; i < nodeCount; i++) {
		positions[3 * i] = nodes[2 * i]!;
		positions[3 * i + 1] = nodes[2 * i + 1]!;
		positions[3 * i + 2] = levels[Math.floor(i / nodesPerLevel)]!;
	}
	const reach = (edge: number): number => nearestLevel(levels, edge);
	const lowest = Math.min(reach(Math.min(...bandHeights) - DRAWN_BEYOND), levels.length - 2);
	const highest = Math.max(reach(Math.max(...bandHeights) + DRAWN_BEYOND), lowest + 1);
	const middleHeight = (Math.min(...bandHeights) + Math.max(...bandHeights)) / 2;
	const level = nearestLevel(levels, middleHeight);
	let x = 0;
	let y = 0;
	for (const node of skin) {
		x += positions[3 * (level * nodesPerLevel + node)]! / skin.length;
		y += positions[3 * (level * nodesPerLevel + node) + 1]! / skin.length;
	}
	let radius = 0;
	for (let k = lowest; k <= highest; k++)
		for (const node of skin) {
			const at = 3 * (k * nodesPerLevel + node);
			radius = Math.max(radius, Math.hypot(positions[at]! - x, positions[at + 1]! - y));
		}
	return {
		geometry,
		nodeCount,
		positions,
		tetrahedra: splitPrisms(positions, triangles, nodesPerLevel, lowest, highest),
		electrodes: electrodesOf(geometry, positions),
		middle: [x, y, middleHeight],
		radius,
		lowest,
		highest,
		low: levels[lowest]!,
		high: levels[highest]!,
		sides: sidesBetween(triangles, regionOf),
		loops: regions.map((_, i) => largestLoop(triangles, regionOf, i + 1, nodes)),
	};
}

/** Each prism between two levels as three tetrahedra. The diagonal of a side starts at the lower node of smaller number,
 *  so that neighbours agree (Dompierre, Labbé, Vallet & Camarero, 8th International Meshing Roundtable, 1999). */
function splitPrisms(
	positions: Float32Array,
	triangles: readonly number[],
	nodesPerLevel: number,
	lowest: number,
	highest: number,
): Uint32Array {
	const perLayer = triangles.length / 3;
	const tetrahedra = new Uint32Array(12 * perLayer * (highest - lowest));
	const corners: [number, number, number] = [0, 0, 0];
	let at = 0;
	const put = (a: number, b: number, c: number, d: number): void => {
		const isTurned = rightHandedVolume(positions, a, b, c, d) < 0;
		tetrahedra[at++] = a;
		tetrahedra[at++] = b;
		tetrahedra[at++] = isTurned ? d : c;
		tetrahedra[at++] = isTurned ? c : d;
	};
	for (let k = lowest; k < highest; k++)
		for (let t = 0; t < perLayer; t++) {
			for (let i = 0; i < 3; i++) corners[i] = triangles[3 * t + i]!;
			corners.sort((a, b) => a - b);
			const low = k * nodesPerLevel;
			const high = low + nodesPerLevel;
			const [a, b, c] = corners;
			put(low + a, low + b, low + c, high + c);
			put(low + a, low + b, high + b, high + c);
			put(low + a, high + a, high + b, high + c);
		}
	return tetrahedra;
}

/** Six times the volume in axes whose x is turned round. */
function rightHandedVolume(p: Float32Array, a: number, b: number, c: number, d: number): number {
	const x1 = p[3 * b]! - p[3 * a]!;
	const y1 = p[3 * b + 1]! - p[3 * a + 1]!;
	const z1 = p[3 * b + 2]! - p[3 * a + 2]!;
	const x2 = p[3 * c]! - p[3 * a]!;
	const y2 = p[3 * c + 1]! - p[3 * a + 1]!;
	const z2 = p[3 * c + 2]! - p[3 * a + 2]!;
	const x3 = p[3 * d]! - p[3 * a]!;
	const y3 = p[3 * d + 1]! - p[3 * a + 1]!;
	const z3 = p[3 * d + 2]! - p[3 * a + 2]!;
	return -(x1 * (y2 * z3 - z2 * y3) - y1 * (x2 * z3 - z2 * x3) + z1 * (x2 * y3 - y2 * x3));
}

function electrodesOf(
	{ electrodeFaces, electrodeOfFace, electrodeCounts }: VolumePictureGeometry,
	positions: Float32Array,
): VolumeElectrode[] {
	const sums = new Map<number, { x: number; y: number; z: number; count: number }>();
	for (const [face, electrode] of electrodeOfFace.entries()) {
		const sum = sums.get(electrode) ?? { x: 0, y: 0, z: 0, count: 0 };
		for (let i = 0; i < 3; i++) {
			const node = 3 * electrodeFaces[3 * face + i]!;
			sum.x += positions[node]!;
			sum.y += positions[node + 1]!;
			sum.z += positions[node + 2]!;
			sum.count++;
		}
		sums.set(electrode, sum);
	}
	let first = 0;
	return electrodeCounts.flatMap((electrodeCount, band) => {
		const own = Array.from({ length: electrodeCount }, (_, i): VolumeElectrode => {
			const { x, y, z, count } = sums.get(first + i) ?? { x: 0, y: 0, z: 0, count: 1 };
			return { band, number: i + 1, middle: [x / count, y / count, z / count] };
		});
		first += electrodeCount;
		return own;
	});
}

function nearestLevel(levels: readonly number[], height: number): number {
	let nearest = 0;
	for (const [k, level] of levels.entries())
		if (Math.abs(level - height) < Math.abs(levels[nearest]! - height)) nearest = k;
	return nearest;
}

/** Between which levels a height lies: `share` of the way from level `below` to the next. */
export function layerAt(levels: readonly number[], height: number): { below: number; share: number } {
	let below = 0;
	while (below + 2 < levels.length && levels[below + 1]! <= height) below++;
	const share = (height - levels[below]!) / (levels[below + 1]! - levels[below]!);
	return { below, share: Math.max(0, Math.min(1, share)) };
}

/** Which band's electrodes are at a height; null between them. */
export function bandAt({ electrodes }: VolumeShape, height: number, halfHeight: number): number | null {
	const at = electrodes.find(({ middle }) => Math.abs(middle[2] - height) <= halfHeight);
	return at === undefined ? null : at.band;
}

/** Half an electrode's height along the limb, m, with a little room. */
const HALF_ELECTRODE = 0.016;

/** The cross-section at a height, to be drawn as any other. */
export function sectionAt(
	shape: VolumeShape,
	height: number,
	regionNoise: readonly (number | null)[],
): PictureGeometry {
	const { geometry, positions, loops } = shape;
	const { nodesPerLevel, levels, skin } = geometry;
	const { below, share } = layerAt(levels, height);
	const nodes: number[] = new Array(2 * nodesPerLevel);
	for (let v = 0; v < nodesPerLevel; v++) {
		const low = 3 * (below * nodesPerLevel + v);
		const high = low + 3 * nodesPerLevel;
		nodes[2 * v] = positions[low]! + share * (positions[high]! - positions[low]!);
		nodes[2 * v + 1] = positions[low + 1]! + share * (positions[high + 1]! - positions[low + 1]!);
	}
	const pointOf = (node: number): Point => [nodes[2 * node]!, nodes[2 * node + 1]!];
	const band = bandAt(shape, height, HALF_ELECTRODE);
	return {
		geometryId: geometry.geometryId,
		bandIndex: band ?? 0,
		nodes,
		triangles: geometry.triangles,
		skin: skin.map(pointOf),
		electrodes: band === null ? [] : arcsOf(shape, band, pointOf),
		regions: geometry.regions.map((region, i) => ({ ...region, outline: loops[i]!.map(pointOf) })),
		side: geometry.side,
		unit: geometry.unit,
		prior: geometry.prior,
		rule: geometry.rule,
		lambda: geometry.lambda,
		noiseFigure: geometry.noiseFigure,
		lambdaByHand: null,
		allowsMovement: false,
		regionNoise,
	};
}

/** Electrodes of a band as stretches of the skin line. */
function arcsOf(
	{ geometry }: VolumeShape,
	band: number,
	pointOf: (node: number) => Point,
): PictureGeometry["electrodes"] {
	const { electrodeFaces, electrodeOfFace, electrodeCounts, nodesPerLevel, skin } = geometry;
	const first = electrodeCounts.slice(0, band).reduce((sum, count) => sum + count, 0);
	const under = new Map<number, Set<number>>();
	for (const [face, electrode] of electrodeOfFace.entries()) {
		const nodes = under.get(electrode) ?? new Set();
		for (let i = 0; i < 3; i++) nodes.add(electrodeFaces[3 * face + i]! % nodesPerLevel);
		under.set(electrode, nodes);
	}
	return Array.from({ length: electrodeCounts[band]! }, (_, i) => {
		const nodes = under.get(first + i) ?? new Set();
		const isUnder = skin.map((node) => nodes.has(node));
		// Begin behind the electrode, so that one over the seam stays in one piece.
		const begin = isUnder.findIndex((now, s) => now && !isUnder[(s + skin.length - 1) % skin.length]);
		const arc: Point[] = [];
		for (let s = 0; begin >= 0 && s < skin.length && isUnder[(begin + s) % skin.length]; s++)
			arc.push(pointOf(skin[(begin + s) % skin.length]!));
		return { number: i + 1, arc };
	}).filter(({ arc }) => arc.length > 0);
}

/** `into` [nodesPerLevel] = values [nNodes] at a height, linear between levels. */
export function valuesAt(
	{ geometry }: VolumeShape,
	height: number,
	values: Float32Array,
	into: Float32Array,
): void {
	const { nodesPerLevel, levels } = geometry;
	const { below, share } = layerAt(levels, height);
	const low = below * nodesPerLevel;
	for (let v = 0; v < nodesPerLevel; v++) {
		const value = values[low + v]!;
		into[v] = value + share * (values[low + nodesPerLevel + v]! - value);
	}
}
