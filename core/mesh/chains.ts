import type { PlacedElectrodes } from "../band/electrodes.ts";
import type { Point } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import type { Arrangement } from "./arrangement.ts";

/** A piece of skin or interface between two points that must be mesh nodes, or a closed loop without any. */
export interface Chain {
	/** Vertex numbers of the arrangement in order; the first and last are equal in a closed loop. */
	readonly vertices: readonly number[];
	/** [vertices] distance along the chain, m. */
	readonly distance: Float64Array;
	readonly left: number;
	readonly right: number;
	readonly onSkin: boolean;
	/** A loop in which no point is fixed. */
	readonly isLoop: boolean;
}

/** Outlines that turn by more than this within a short stretch have a corner there, which stays a node. */
const CORNER_RADIANS = (25 * Math.PI) / 180;

/**
 * Joins the arrangement's edges into chains.
 *
 * @param isFixed whether a vertex must be a node whatever the shape around it (electrode ends)
 * @param reach length over which a turn is judged, m, so that snapping noise is no corner
 */
export function joinChains(
	arrangement: Arrangement,
	isFixed: (v: number) => boolean,
	reach: number,
): Chain[] {
	const { edges, x, y, skinArc } = arrangement;
	const leaving = new Map<number, number[]>();
	const arriving = new Map<number, number[]>();
	for (const [i, e] of edges.entries()) {
		leaving.set(e.from, [...(leaving.get(e.from) ?? []), i]);
		arriving.set(e.to, [...(arriving.get(e.to) ?? []), i]);
	}
	const isNode = (v: number): boolean => {
		const out = leaving.get(v) ?? [];
		const into = arriving.get(v) ?? [];
		if (out.length !== 1 || into.length !== 1) return true;
		const a = edges[into[0]!]!;
		const b = edges[out[0]!]!;
		if (a.left !== b.left || a.right !== b.right || isFixed(v)) return true;
		return turnAt(v) > CORNER_RADIANS;
	};
	const turnAt = (v: number): number => {
		const walk = (map: Map<number, number[]>, end: "from" | "to"): number => {
			let at = v;
			for (let step = 0; step < 64; step++) {
				const list = map.get(at) ?? [];
				if (list.length !== 1) return at;
				at = edges[list[0]!]![end];
				if (Math.hypot(x[at]! - x[v]!, y[at]! - y[v]!) >= reach || at === v) return at;
			}
			return at;
		};
		const p = walk(arriving, "from");
		const q = walk(leaving, "to");
		const ax = x[v]! - x[p]!;
		const ay = y[v]! - y[p]!;
		const bx = x[q]! - x[v]!;
		const by = y[q]! - y[v]!;
		return Math.abs(Math.atan2(ax * by - ay * bx, ax * bx + ay * by));
	};

	const used = new Uint8Array(edges.length);
	const chains: Chain[] = [];
	const follow = (start: number, isLoop: boolean) => {
		const first = edges[start]!;
		const vertices = [first.from];
		let i = start;
		for (;;) {
			used[i] = 1;
			const to = edges[i]!.to;
			vertices.push(to);
			if (isNode(to) || to === first.from) break;
			i = leaving.get(to)![0]!;
		}
		const distance = new Float64Array(vertices.length);
		for (let k = 1; k < vertices.length; k++) {
			const a = vertices[k - 1]!;
			const b = vertices[k]!;
			distance[k] = distance[k - 1]! + Math.hypot(x[b]! - x[a]!, y[b]! - y[a]!);
		}
		const onSkin = !Number.isNaN(skinArc[vertices[0]!]!) && (first.left < 0 || first.right < 0);
		chains.push({ vertices, distance, left: first.left, right: first.right, onSkin, isLoop });
	};
	for (const [i, e] of edges.entries()) if (!used[i] && isNode(e.from)) follow(i, false);
	for (const i of edges.keys()) if (!used[i]) follow(i, true);
	return chains;
}

/** Point at a distance along a chain: on the skin line itself where the chain is skin. */
export function pointOnChain(
	outline: Outline,
	{ x, y, skinArc }: Arrangement,
	{ vertices, distance, onSkin }: Chain,
	at: number,
): Point {
	let low = 0;
	let high = distance.length - 1;
	while (high - low > 1) {
		const middle = (low + high) >> 1;
		if (distance[middle]! <= at) low = middle;
		else high = middle;
	}
	const t = (at - distance[low]!) / (distance[high]! - distance[low]!);
	const p = vertices[low]!;
	const q = vertices[high]!;
	if (!onSkin) return [x[p]! + t * (x[q]! - x[p]!), y[p]! + t * (y[q]! - y[p]!)];
	const from = skinArc[p]!;
	const round = outline.circumference * Math.round((skinArc[q]! - from) / outline.circumference);
	return outline.pointAt(from + t * (skinArc[q]! - round - from));
}

/** The electrode over a chain, or −1. Chains end where electrodes do, so one place on the chain decides. */
export function electrodeOver(
	{ skinArc }: Arrangement,
	{ onSkin, vertices }: Chain,
	electrodes: PlacedElectrodes,
	circumference: number,
): number {
	if (!onSkin) return -1;
	const from = skinArc[vertices[0]!]!;
	const step = skinArc[vertices[1]!]! - from;
	const middle = from + (step - circumference * Math.round(step / circumference)) / 2;
	for (let i = 0; i < electrodes.count; i++) {
		const past = middle - electrodes.start[i]!;
		if (past - circumference * Math.floor(past / circumference) < electrodes.end[i]! - electrodes.start[i]!)
			return i;
	}
	return -1;
}
