import { type ElementMesh, edgeMatrices } from "../physics/elements.ts";

/** The skin under one electrode of a cross-section, in the order of the outline. */
export interface ElectrodeArc {
	/** [n] nodes of the mesh. */
	readonly nodes: Int32Array;
	/** [n] −1 at the start to 1 at the end. */
	readonly positions: Float64Array;
	/** [n × n] ∫ φᵢ·φⱼ ds, m */
	readonly mass: Float64Array;
}

/** @param mesh quadratic @returns one for each electrode @throws RangeError when an electrode has no edge */
export function electrodeArcs(mesh: ElementMesh): ElectrodeArc[] {
	const { electrodeEdges, electrodeOfEdge, electrodeCount } = mesh;
	const matrices = edgeMatrices(mesh);
	return Array.from({ length: electrodeCount }, (_, electrode) => {
		const edgeFrom = new Map<number, number>();
		const ends = new Set<number>();
		for (let e = 0; e < electrodeOfEdge.length; e++) {
			if (electrodeOfEdge[e] !== electrode) continue;
			edgeFrom.set(electrodeEdges[3 * e]!, e);
			ends.add(electrodeEdges[3 * e + 1]!);
		}
		let node = [...edgeFrom.keys()].find((start) => !ends.has(start));
		if (node === undefined) throw new RangeError(`the mesh has no edge under electrode ${electrode}`);
		const count = 2 * edgeFrom.size + 1;
		const nodes = new Int32Array(count);
		const positions = new Float64Array(count);
		const mass = new Float64Array(count * count);
		nodes[0] = node;
		for (let i = 0; i + 1 < count; i += 2) {
			const e: number | undefined = edgeFrom.get(node);
			if (e === undefined) throw new RangeError(`electrode ${electrode}'s edges do not hang together`);
			const places = [i, i + 2, i + 1];
			let length = 0;
			// the packed lower triangle over both ends, the middle and, in its last row, the electrode itself
			let at = 10 * e;
			for (let a = 0; a < 3; a++)
				for (let b = 0; b <= a; b++) {
					const value = matrices[at++]!;
					mass[places[a]! * count + places[b]!]! += value;
					if (a !== b) mass[places[b]! * count + places[a]!]! += value;
					length += a === b ? value : 2 * value;
				}
			node = electrodeEdges[3 * e + 1]!;
			nodes[i + 1] = electrodeEdges[3 * e + 2]!;
			nodes[i + 2] = node;
			positions[i + 1] = positions[i]! + length / 2;
			positions[i + 2] = positions[i]! + length;
		}
		const whole = positions[count - 1]!;
		return { nodes, positions: positions.map((s) => (2 * s) / whole - 1), mass };
	});
}
