import { orient2d } from "robust-predicates";
import type { RegionOutline } from "../limb/limb.ts";
import { type Outline, thinnedArcs } from "../limb/outline.ts";
import { createSegmentGrid, type SegmentGrid } from "../limb/segment-grid.ts";

export interface GraphEdge {
	a: number;
	b: number;
	/** Bit 0: skin; bit i + 1: region i. Whose outline the edge is part of. */
	mask: bigint;
}

/** Straight pieces get points too, at least this many per circumference, so that sizes can vary along them. */
const SPARSEST_SAMPLES = 400;

/** By edge: where to split it, as a share of its length, and at which vertex. */
type Splits = Map<number, { readonly t: number; readonly v: number }[]>;

/** Skin and region outlines as one graph of straight edges, each knowing whose outline it is part of. */
export class OutlineGraph {
	readonly x: number[] = [];
	readonly y: number[] = [];
	readonly skinArc: number[] = [];
	edges: GraphEdge[] = [];
	readonly #outline: Outline;
	readonly #snap: number;
	readonly #cells = new Map<number, number[]>();
	/** Vertices that came to lie on others, which stand for them. */
	readonly #merged = new Map<number, number>();

	constructor(outline: Outline, snap: number) {
		this.#outline = outline;
		this.#snap = snap;
	}

	addSkin(fixedArcs: readonly number[]): void {
		const { circumference } = this.#outline;
		const fixed = fixedArcs
			.map((s) => s - circumference * Math.floor(s / circumference))
			.sort((p, q) => p - q);
		const arcs: number[] = [];
		let f = 0;
		const near = (s: number) => {
			while (f < fixed.length && fixed[f]! < s - this.#snap) f++;
			const wrapped = (v: number | undefined) =>
				v !== undefined &&
				Math.abs(v - s - circumference * Math.round((v - s) / circumference)) <= this.#snap;
			return wrapped(fixed[f]) || wrapped(fixed[0]) || wrapped(fixed[fixed.length - 1]);
		};
		for (const s of thinnedArcs(this.#outline)) if (!near(s)) arcs.push(s);
		arcs.push(...fixed);
		arcs.sort((p, q) => p - q);
		const first = this.x.length;
		for (const [i, s] of arcs.entries()) {
			const gap = (arcs[i + 1] ?? arcs[0]! + circumference) - s;
			const pieces = Math.ceil((SPARSEST_SAMPLES * gap) / circumference);
			for (let k = 0; k < pieces; k++) {
				const at = s + (gap * k) / pieces;
				const [x, y] = this.#outline.pointAt(at);
				this.#push(x, y, at < circumference ? at : at - circumference);
			}
		}
		const count = this.x.length - first;
		for (let i = 0; i < count; i++) {
			this.edges.push({ a: first + i, b: first + ((i + 1) % count), mask: 1n });
		}
	}

	addRegion(region: RegionOutline, mask: bigint): void {
		const longest = this.#outline.circumference / SPARSEST_SAMPLES;
		const ring: number[] = [];
		for (const [i, [x, y]] of region.points.entries()) {
			const [nextX, nextY] = region.points[(i + 1) % region.points.length]!;
			const pieces = Math.min(SPARSEST_SAMPLES, Math.ceil(Math.hypot(nextX - x, nextY - y) / longest) || 1);
			for (let k = 0; k < pieces; k++) {
				ring.push(this.#vertexNear(x + ((nextX - x) * k) / pieces, y + ((nextY - y) * k) / pieces));
			}
		}
		for (const [i, a] of ring.entries()) {
			const b = ring[(i + 1) % ring.length]!;
			if (a !== b) this.edges.push({ a, b, mask });
		}
	}

	/** Splits edges where they cross or pass a vertex within half the snapping distance, until none do. Half, while
	 *  vertices keep the whole distance between them, so that no two edges can split each other in turn. */
	untangle(): void {
		this.#dedupe();
		for (let round = 0; round < 30; round++) {
			const splits = this.#findSplits();
			if (splits.size === 0) return;
			this.#apply(splits);
			this.#dedupe();
		}
		throw new RangeError("mesh: the region outlines cross each other in too tangled a way");
	}

	#push(x: number, y: number, arc: number): number {
		const v = this.x.length;
		this.x.push(x);
		this.y.push(y);
		this.skinArc.push(arc);
		const key = this.#key(Math.floor(x / this.#snap), Math.floor(y / this.#snap));
		const cell = this.#cells.get(key);
		if (cell) cell.push(v);
		else this.#cells.set(key, [v]);
		return v;
	}

	#key(column: number, row: number): number {
		return column * 0x4000000 + row;
	}

	/** The nearest vertex within the snapping distance, else a new one. */
	#vertexNear(x: number, y: number): number {
		const c = Math.floor(x / this.#snap);
		const r = Math.floor(y / this.#snap);
		let best = -1;
		let bestDistance = this.#snap;
		for (let dc = -1; dc <= 1; dc++) {
			for (let dr = -1; dr <= 1; dr++) {
				for (const v of this.#cells.get(this.#key(c + dc, r + dr)) ?? []) {
					const d = Math.hypot(this.x[v]! - x, this.y[v]! - y);
					if (d < bestDistance) {
						bestDistance = d;
						best = v;
					}
				}
			}
		}
		return best >= 0 ? this.#resolve(best) : this.#push(x, y, Number.NaN);
	}

	/** Edges between the same two vertices become one that is part of all their outlines; an outline that runs
	 *  there and back cancels itself. */
	#dedupe(): void {
		const unique = new Map<number, GraphEdge>();
		for (const raw of this.edges) {
			const edge = { a: this.#resolve(raw.a), b: this.#resolve(raw.b), mask: raw.mask };
			if (edge.a === edge.b) continue;
			const key = Math.min(edge.a, edge.b) * 0x4000000 + Math.max(edge.a, edge.b);
			const other = unique.get(key);
			if (other) other.mask ^= edge.mask;
			else unique.set(key, edge);
		}
		this.edges = [...unique.values()].filter((e) => e.mask !== 0n);
	}

	#resolve(v: number): number {
		let at = v;
		for (let next = this.#merged.get(at); next !== undefined; next = this.#merged.get(at)) at = next;
		return at;
	}

	#ends(): Float64Array {
		const ends = new Float64Array(4 * this.edges.length);
		for (const [i, { a, b }] of this.edges.entries()) {
			ends[4 * i] = this.x[a]!;
			ends[4 * i + 1] = this.y[a]!;
			ends[4 * i + 2] = this.x[b]!;
			ends[4 * i + 3] = this.y[b]!;
		}
		return ends;
	}

	/** For each edge to be split, the vertices to split it at. Skin edges never trouble each other: the outline does
	 *  not cross itself, and its points are as near each other as it demands. */
	#findSplits(): Splits {
		const splits: Splits = new Map();
		const isSkin = Uint8Array.from(this.edges, ({ mask }) => Number(mask & 1n));
		if (!isSkin.includes(0)) return splits;
		const ends = this.#ends();
		const grid = createSegmentGrid(ends);
		this.#splitAtVertices(grid, ends, isSkin, splits);
		// Proper crossings only once no vertex is too near an edge, so that each crossing is a clean one.
		if (splits.size === 0) this.#splitAtCrossings(grid, ends, isSkin, splits);
		return splits;
	}

	#splitAtVertices(grid: SegmentGrid, ends: Float64Array, isSkin: Uint8Array, splits: Splits): void {
		const snap = this.#snap;
		const seen = new Uint8Array(this.x.length);
		for (const edge of this.edges) {
			for (let end = 0; end < 2; end++) {
				const v = end === 0 ? edge.a : edge.b;
				if (seen[v]) continue;
				seen[v] = 1;
				const px = this.x[v]!;
				const py = this.y[v]!;
				const isOnSkin = !Number.isNaN(this.skinArc[v]!);
				const near = grid.collect(px - snap, py - snap, px + snap, py + snap);
				for (let f = 0; f < near; f++) {
					const k = grid.found[f]!;
					const { a, b } = this.edges[k]!;
					if (a === v || b === v || (isOnSkin && isSkin[k])) continue;
					const dx = ends[4 * k + 2]! - ends[4 * k]!;
					const dy = ends[4 * k + 3]! - ends[4 * k + 1]!;
					const t = ((px - ends[4 * k]!) * dx + (py - ends[4 * k + 1]!) * dy) / (dx * dx + dy * dy);
					if (!(t > 0 && t < 1)) continue;
					const away = Math.hypot(ends[4 * k]! + t * dx - px, ends[4 * k + 1]! + t * dy - py);
					if (away < snap / 2) addSplit(splits, k, t, v);
				}
			}
		}
	}

	#splitAtCrossings(grid: SegmentGrid, ends: Float64Array, isSkin: Uint8Array, splits: Splits): void {
		for (const [i, p] of this.edges.entries()) {
			if (isSkin[i]) continue;
			const ax = ends[4 * i]!;
			const ay = ends[4 * i + 1]!;
			const bx = ends[4 * i + 2]!;
			const by = ends[4 * i + 3]!;
			const near = grid.collect(ax, ay, bx, by);
			for (let f = 0; f < near; f++) {
				const k = grid.found[f]!;
				if (k <= i && !isSkin[k]) continue;
				const q = this.edges[k]!;
				if (p.a === q.a || p.a === q.b || p.b === q.a || p.b === q.b) continue;
				const cx = ends[4 * k]!;
				const cy = ends[4 * k + 1]!;
				const dx = ends[4 * k + 2]!;
				const dy = ends[4 * k + 3]!;
				const abc = orient2d(ax, ay, bx, by, cx, cy);
				const abd = orient2d(ax, ay, bx, by, dx, dy);
				if (abc > 0 === abd > 0) continue;
				const cda = orient2d(cx, cy, dx, dy, ax, ay);
				const cdb = orient2d(cx, cy, dx, dy, bx, by);
				if (cda > 0 === cdb > 0) continue;
				const t = cda / (cda - cdb);
				const u = abc / (abc - abd);
				const v = this.#vertexNear(ax + t * (bx - ax), ay + t * (by - ay));
				if (v !== p.a && v !== p.b) addSplit(splits, i, t, v);
				if (v !== q.a && v !== q.b) addSplit(splits, k, u, v);
			}
		}
	}

	#apply(splits: Splits): void {
		const edges: GraphEdge[] = [];
		for (const [i, edge] of this.edges.entries()) {
			const list = splits.get(i);
			if (!list) {
				edges.push(edge);
				continue;
			}
			list.sort((p, q) => p.t - q.t);
			let from = edge.a;
			for (const { t, v } of list) {
				if ((edge.mask & 1n) === 1n && Number.isNaN(this.skinArc[v]!)) this.#moveToSkin(v, edge, t);
				if (this.#merged.has(v)) continue;
				if (v !== from) edges.push({ a: from, b: v, mask: edge.mask });
				from = v;
			}
			if (from !== edge.b) edges.push({ a: from, b: edge.b, mask: edge.mask });
		}
		this.edges = edges;
	}

	#moveToSkin(v: number, edge: GraphEdge, t: number): void {
		const start = this.skinArc[edge.a]!;
		let end = this.skinArc[edge.b]!;
		if (end < start) end += this.#outline.circumference;
		const raw = start + t * (end - start);
		if (raw - start < this.#snap || end - raw < this.#snap) {
			this.#merged.set(v, raw - start < end - raw ? edge.a : edge.b);
			return;
		}
		const s = raw % this.#outline.circumference;
		const [x, y] = this.#outline.pointAt(s);
		this.x[v] = x;
		this.y[v] = y;
		this.skinArc[v] = s;
	}
}

function addSplit(splits: Splits, edge: number, t: number, v: number): void {
	const list = splits.get(edge);
	if (list) list.push({ t, v });
	else splits.set(edge, [{ t, v }]);
}
