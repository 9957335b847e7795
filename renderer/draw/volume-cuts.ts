/** The parts of the volume view that change with its values: planes that are cut through it, and surfaces inside it. */
import { BufferAttribute, BufferGeometry, DynamicDrawUsage, type Material, Mesh } from "three";
import { atCut, type Cut, createTetrahedraCutter, type TetrahedraCutter } from "./cut-tetrahedra.ts";
import type { VolumeShape } from "./volume-shape.ts";

export interface CutPlane {
	readonly mesh: Mesh;
	/** @param axis 0 left-right, 1 front-back, 2 along the limb; `at` m in the limb's axes */
	place(axis: 0 | 1 | 2, at: number): void;
	/** Takes `values` [nNodes] over; zero everywhere where null. */
	show(values: Float32Array | null): void;
	dispose(): void;
}

export interface CutSurface {
	readonly mesh: Mesh;
	/** Where `values` [nNodes] are `level`; nothing where null. */
	show(values: Float32Array | null, level: number): void;
	dispose(): void;
}

export interface VolumeCuts {
	createPlane(material: Material): CutPlane;
	createSurface(material: Material): CutSurface;
}

/** @param drawn [nNodes × 3] as in `drawnPositions` */
export function createVolumeCuts(shape: VolumeShape, drawn: Float32Array): VolumeCuts {
	const cutter: TetrahedraCutter = createTetrahedraCutter(shape.tetrahedra, shape.nodeCount);
	const coordinates = [0, 1, 2].map((axis) =>
		Float32Array.from({ length: shape.nodeCount }, (_, i) => shape.positions[3 * i + axis]!),
	);

	function createPlane(material: Material): CutPlane {
		const geometry = new BufferGeometry();
		const mesh = new Mesh(geometry, material);
		mesh.frustumCulled = false;
		let kept: Cut | null = null;
		let shown: Float32Array | null = null;
		let placed: { axis: number; at: number } | null = null;

		function show(values: Float32Array | null): void {
			shown = values;
			const attribute = geometry.getAttribute("value");
			if (kept === null || !(attribute instanceof BufferAttribute)) return;
			const into = attribute.array as Float32Array;
			if (values === null) into.fill(0);
			else atCut(kept, values, 1, into);
			attribute.needsUpdate = true;
		}

		return {
			mesh,
			place(axis, at) {
				if (placed?.axis === axis && placed.at === at) return;
				placed = { axis, at };
				const cut = cutter.cutAt(coordinates[axis]!, at);
				kept = {
					vertexCount: cut.vertexCount,
					triangleCount: cut.triangleCount,
					ends: cut.ends.slice(0, 2 * cut.vertexCount),
					shares: cut.shares.slice(0, cut.vertexCount),
					triangles: cut.triangles.slice(0, 3 * cut.triangleCount),
				};
				const positions = new Float32Array(3 * kept.vertexCount);
				atCut(kept, drawn, 3, positions);
				geometry.setAttribute("position", new BufferAttribute(positions, 3));
				const attribute = new BufferAttribute(new Float32Array(kept.vertexCount), 1);
				attribute.setUsage(DynamicDrawUsage);
				geometry.setAttribute("value", attribute);
				geometry.setIndex(new BufferAttribute(kept.triangles, 1));
				show(shown);
			},
			show,
			dispose: () => geometry.dispose(),
		};
	}

	function createSurface(material: Material): CutSurface {
		let geometry = new BufferGeometry();
		const mesh = new Mesh(geometry, material);
		mesh.frustumCulled = false;
		mesh.visible = false;
		let vertexRoom = 0;
		let triangleRoom = 0;

		function makeRoom(cut: Cut): void {
			if (cut.vertexCount <= vertexRoom && cut.triangleCount <= triangleRoom) return;
			vertexRoom = Math.max(vertexRoom, 2 * cut.vertexCount);
			triangleRoom = Math.max(triangleRoom, 2 * cut.triangleCount);
			geometry.dispose();
			geometry = new BufferGeometry();
			for (const name of ["position", "normal"])
				geometry.setAttribute(name, dynamic(new Float32Array(3 * vertexRoom), 3));
			geometry.setIndex(dynamic(new Uint32Array(3 * triangleRoom), 1));
			mesh.geometry = geometry;
		}

		return {
			mesh,
			show(values, level) {
				if (values === null) {
					mesh.visible = false;
					return;
				}
				const cut = cutter.cutAt(values, level);
				mesh.visible = cut.triangleCount > 0;
				if (!mesh.visible) return;
				makeRoom(cut);
				const position = geometry.getAttribute("position") as BufferAttribute;
				const normal = geometry.getAttribute("normal") as BufferAttribute;
				const index = geometry.getIndex()!;
				atCut(cut, drawn, 3, position.array as Float32Array);
				addNormals(cut, position.array as Float32Array, normal.array as Float32Array);
				(index.array as Uint32Array).set(cut.triangles.subarray(0, 3 * cut.triangleCount));
				geometry.setDrawRange(0, 3 * cut.triangleCount);
				position.needsUpdate = true;
				normal.needsUpdate = true;
				index.needsUpdate = true;
			},
			dispose: () => geometry.dispose(),
		};
	}

	return { createPlane, createSurface };
}

function dynamic(array: Float32Array | Uint32Array, width: number): BufferAttribute {
	const attribute = new BufferAttribute(array, width);
	attribute.setUsage(DynamicDrawUsage);
	return attribute;
}

/** Sum of the triangles' normals around each corner, weighted by area; the shader makes them of length one. */
function addNormals(
	{ triangles, triangleCount, vertexCount }: Cut,
	p: Float32Array,
	into: Float32Array,
): void {
	into.fill(0, 0, 3 * vertexCount);
	for (let t = 0; t < 3 * triangleCount; t += 3) {
		const a = 3 * triangles[t]!;
		const b = 3 * triangles[t + 1]!;
		const c = 3 * triangles[t + 2]!;
		const ux = p[b]! - p[a]!;
		const uy = p[b + 1]! - p[a + 1]!;
		const uz = p[b + 2]! - p[a + 2]!;
		const vx = p[c]! - p[a]!;
		const vy = p[c + 1]! - p[a + 1]!;
		const vz = p[c + 2]! - p[a + 2]!;
		const nx = uy * vz - uz * vy;
		const ny = uz * vx - ux * vz;
		const nz = ux * vy - uy * vx;
		for (let i = 0; i < 3; i++) {
			const at = 3 * triangles[t + i]!;
			into[at]! += nx;
			into[at + 1]! += ny;
			into[at + 2]! += nz;
		}
	}
}
