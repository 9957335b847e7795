import type { Side } from "../limb/limb.ts";
import { type VolumeMesh, volumeCellCentres } from "./volume-mesh.ts";
import type { VolumeSubject } from "./volume-subject.ts";

/** What a volume's picture is drawn on. Node v of level k has number k·nodesPerLevel + v, the cell over triangle t between
 *  levels k and k + 1 number k·trianglesPerLevel + t; lengths in metres. */
export interface VolumeGeometry {
	/** [nNodes × 3] x, y, z */
	readonly nodes: Float32Array;
	readonly nodesPerLevel: number;
	/** [nLevels] ascending, m along the limb */
	readonly levels: Float64Array;
	/** [trianglesPerLevel × 3] nodes of a level, from 0; a slice at a level is drawn with them as a section is. */
	readonly triangles: Uint32Array;
	/** [nSkin] nodes of a level on the skin, anticlockwise. */
	readonly skin: Uint32Array;
	/** [trianglesPerLevel] 0 for no region, i + 1 for the i-th. */
	readonly regionOf: Uint8Array;
	/** [nCells × 3] m */
	readonly cellCentres: Float32Array;
	/** [nCells] m³ */
	readonly cellVolumes: Float64Array;
	/** [nFaces × 3] triangles of the skin under electrodes. */
	readonly electrodeFaces: Uint32Array;
	/** [nFaces] electrode from 0, band by band. */
	readonly electrodeOfFace: Uint16Array;
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly tissue: "muscle" | "fat" | "bone";
		readonly trendIndex: number | null;
	}[];
	/** Middles of the bands' electrodes, m along the limb. */
	readonly bandHeights: Float64Array;
	readonly side: Side | null;
}

export function volumeGeometry(
	subject: VolumeSubject,
	mesh: VolumeMesh,
	volumes: Float64Array,
): VolumeGeometry {
	let trendIndex = 0;
	return {
		nodes: Float32Array.from(mesh.nodes),
		nodesPerLevel: mesh.nodesPerLevel,
		levels: mesh.levels,
		triangles: mesh.triangles,
		skin: skinOf(mesh.triangles),
		regionOf: mesh.regionOf,
		cellCentres: Float32Array.from(volumeCellCentres(mesh)),
		cellVolumes: volumes,
		electrodeFaces: mesh.electrodeFaces,
		electrodeOfFace: mesh.electrodeOfFace,
		regions: subject.regions.map(({ id, name, tissue, inTrends }) => ({
			id,
			name,
			tissue,
			trendIndex: inTrends ? trendIndex++ : null,
		})),
		bandHeights: Float64Array.from(subject.bands, ({ z }) => z),
		side: subject.side,
	};
}

/** Nodes on the boundary in their order: sides that no second triangle runs back. */
export function skinOf(triangles: Uint32Array): Uint32Array {
	const after = new Map<number, Set<number>>();
	for (let i = 0; i < triangles.length; i++) {
		const a = triangles[i]!;
		const b = triangles[i % 3 === 2 ? i - 2 : i + 1]!;
		if (after.get(b)?.delete(a) === true) continue;
		const ends = after.get(a) ?? new Set();
		after.set(a, ends.add(b));
	}
	const next = new Map([...after].flatMap(([a, ends]) => [...ends].map((b) => [a, b] as const)));
	const first = next.keys().next().value!;
	const skin = [first];
	for (let node = next.get(first)!; node !== first; node = next.get(node)!) skin.push(node);
	return Uint32Array.from(skin);
}
