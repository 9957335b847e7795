import type { PictureGeometry } from "../contract.ts";

/** What picture packets are drawn on, by number. Numbers are those of the models in the picture stream. */
export interface Geometries {
	add(geometry: PictureGeometry): void;
	get(geometryId: number): PictureGeometry | null;
}

/** A page that is slow may ask for one that was replaced a moment ago; nobody asks for one many rebuilds back. */
const KEPT = 24;

export function createGeometries(): Geometries {
	const kept = new Map<number, PictureGeometry>();
	return {
		add(geometry) {
			kept.set(geometry.geometryId, geometry);
			const oldest = kept.keys().next().value;
			if (kept.size > KEPT && oldest !== undefined) kept.delete(oldest);
		},
		get: (geometryId) => kept.get(geometryId) ?? null,
	};
}
