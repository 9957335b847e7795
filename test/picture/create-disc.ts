import { placeElectrodes } from "../../core/band/electrodes.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import type { Mesh } from "../../core/mesh/mesh.ts";
import type { PictureSubject } from "../../core/picture/subject.ts";

export interface DiscOptions {
	readonly electrodeCount?: number;
	readonly triangles?: number;
}

export const discRadius = 0.1;

/** A homogeneous tank of 10 cm radius. */
export function createDiscSubject(electrodeCount = 16): PictureSubject {
	const outline = createOutline({ type: "circle", radius: discRadius });
	return {
		outline,
		electrodes: placeElectrodes(outline, {
			electrodeCount,
			electrodeWidth: 0.16 / electrodeCount,
			firstAngle: 0,
			direction: "anticlockwise",
		}),
		regions: [],
		backgroundSigma: 0.3,
		contactImpedance: new Float64Array(electrodeCount).fill(2e-3),
		side: null,
		unit: "S/m",
	};
}

export function createDiscMesh({ electrodeCount = 16, triangles = 600 }: DiscOptions = {}): Mesh {
	const { outline, electrodes } = createDiscSubject(electrodeCount);
	return meshLimb({ outline, electrodes, regions: [], targetTriangles: triangles });
}

export function trianglesOf(mesh: Mesh): number {
	return mesh.triangles.length / 3;
}
