import type { Mesh } from "../../core/mesh/mesh.ts";

export interface DiscMeshOptions {
	readonly radius: number;
	readonly electrodeCount: number;
	readonly electrodeWidth: number;
	/** Radii of concentric layers' outlines, ascending; triangles inside the i-th have regionOf i + 1, outermost 0. */
	readonly layerRadii?: readonly number[];
	/** Edges under each electrode and between two of them. */
	readonly perElectrode: number;
	readonly perGap: number;
	/** Largest distance of two rings, as a fraction of the radius. */
	readonly coarsest: number;
}

/** Rings of nodes joined by triangles: a mesh that owes nothing to the project's own mesh maker. */
export function createDiscMesh(options: DiscMeshOptions): Mesh {
	const { radius, electrodeCount, electrodeWidth, perElectrode, perGap, coarsest } = options;
	const layers = [...(options.layerRadii ?? [])].sort((a, b) => a - b);
	const pitch = (2 * Math.PI) / electrodeCount;
	const half = electrodeWidth / 2 / radius;
	const rings: { radius: number; angles: number[]; first: number }[] = [];
	const boundary: number[] = [];
	for (let l = 0; l < electrodeCount; l++) {
		for (let i = 0; i < perElectrode; i++) boundary.push(l * pitch - half + (2 * half * i) / perElectrode);
		for (let i = 0; i < perGap; i++) boundary.push(l * pitch + half + ((pitch - 2 * half) * i) / perGap);
	}
	rings.push({ radius, angles: boundary, first: 0 });

	let r = radius;
	let step = (2 * Math.PI * radius * 0.87) / boundary.length;
	let nodeCount = boundary.length;
	while (r > 1.6 * step) {
		const stop = layers.filter((layer) => layer < r * (1 - 1e-9)).at(-1) ?? 0;
		const left = Math.max(1, Math.round((r - stop) / step));
		r = left === 1 ? stop : r - (r - stop) / left;
		if (r === 0) break;
		const count = Math.max(6, Math.round((2 * Math.PI * r * 0.87) / step));
		const shift = rings.length % 2 ? Math.PI / count : 0;
		const angles = Array.from({ length: count }, (_, i) => boundary[0]! + shift + (2 * Math.PI * i) / count);
		rings.push({ radius: r, angles, first: nodeCount });
		nodeCount += count;
		step = Math.min(step * 1.15, coarsest * radius);
	}

	const nodes = new Float64Array(2 * (nodeCount + 1));
	for (const ring of rings)
		ring.angles.forEach((angle, i) => {
			nodes[2 * (ring.first + i)] = ring.radius * Math.cos(angle);
			nodes[2 * (ring.first + i) + 1] = ring.radius * Math.sin(angle);
		});
	const triangles: number[] = [];
	const regionOf: number[] = [];
	const add = (a: number, b: number, c: number, between: number) => {
		triangles.push(a, b, c);
		// layers are nested: the innermost that holds the triangle lies over the others
		const inside = layers.findIndex((layer) => between < layer);
		regionOf.push(inside < 0 ? 0 : inside + 1);
	};
	for (let k = 0; k + 1 < rings.length; k++) {
		const outer = rings[k]!;
		const inner = rings[k + 1]!;
		const between = (outer.radius + inner.radius) / 2;
		const angleOf = (ring: { angles: number[] }, i: number) =>
			ring.angles[i % ring.angles.length]! + (i >= ring.angles.length ? 2 * Math.PI : 0);
		let i = 0;
		let j = 0;
		while (i < outer.angles.length || j < inner.angles.length) {
			const o = outer.first + (i % outer.angles.length);
			const n = inner.first + (j % inner.angles.length);
			const outerNext = angleOf(outer, i + 1);
			const innerNext = angleOf(inner, j + 1);
			if (j >= inner.angles.length || (i < outer.angles.length && outerNext <= innerNext)) {
				add(o, outer.first + ((i + 1) % outer.angles.length), n, between);
				i++;
			} else {
				add(o, inner.first + ((j + 1) % inner.angles.length), n, between);
				j++;
			}
		}
	}
	const core = rings.at(-1)!;
	for (let i = 0; i < core.angles.length; i++)
		add(core.first + i, core.first + ((i + 1) % core.angles.length), nodeCount, core.radius / 2);

	const electrodeEdges: number[] = [];
	const electrodeOfEdge: number[] = [];
	for (let l = 0; l < electrodeCount; l++)
		for (let i = 0; i < perElectrode; i++) {
			const a = l * (perElectrode + perGap) + i;
			electrodeEdges.push(a, (a + 1) % boundary.length);
			electrodeOfEdge.push(l);
		}
	return {
		nodes,
		triangles: Uint32Array.from(triangles),
		regionOf: Uint8Array.from(regionOf),
		electrodeEdges: Uint32Array.from(electrodeEdges),
		electrodeOfEdge: Uint16Array.from(electrodeOfEdge),
		electrodeCount,
	};
}
