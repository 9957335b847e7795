import type { VolumePictureGeometry } from "../../app/contract.ts";

export interface VolumeOptions {
	/** m */
	readonly radius?: number;
	readonly rings?: number;
	readonly perRing?: number;
	/** m, ascending */
	readonly levels?: readonly number[];
	/** Factor on the radius at each level. */
	readonly scales?: readonly number[];
	readonly bandHeights?: readonly number[];
}

/** A round limb of concentric rings of nodes; its inner half is region 1, the front of the rest region 2, the back 3. */
export function createVolume(options: VolumeOptions = {}): VolumePictureGeometry {
	const { radius = 0.08, rings = 8, perRing = 32, bandHeights = [0.2] } = options;
	const levels = options.levels ?? Array.from({ length: 17 }, (_, k) => 0.12 + 0.01 * k);
	const flat: (readonly [number, number])[] = [[0, 0]];
	for (let ring = 1; ring <= rings; ring++)
		for (let s = 0; s < perRing; s++) {
			const angle = (2 * Math.PI * s) / perRing;
			flat.push([((radius * ring) / rings) * Math.cos(angle), ((radius * ring) / rings) * Math.sin(angle)]);
		}
	const at = (ring: number, s: number): number => (ring === 0 ? 0 : 1 + (ring - 1) * perRing + (s % perRing));
	const triangles: number[] = [];
	const regionOf: number[] = [];
	for (let ring = 1; ring <= rings; ring++)
		for (let s = 0; s < perRing; s++) {
			const region = ring <= rings / 2 ? 1 : s < perRing / 2 ? 2 : 3;
			triangles.push(at(ring - 1, s), at(ring, s), at(ring, s + 1));
			regionOf.push(region);
			if (ring === 1) continue;
			triangles.push(at(ring - 1, s), at(ring, s + 1), at(ring - 1, s + 1));
			regionOf.push(region);
		}
	const nodesPerLevel = flat.length;
	const electrodeFaces: number[] = [];
	const electrodeOfFace: number[] = [];
	for (const [band, height] of bandHeights.entries()) {
		const low = levels.findIndex((level) => level >= height - 0.0101) * nodesPerLevel;
		// Four electrodes over two sides each; the last over the seam.
		for (let e = 0; e < 4; e++)
			for (const side of [-1, 0]) {
				const s = (e * perRing) / 4 + side + perRing;
				const [a, b] = [at(rings, s), at(rings, s + 1)];
				electrodeFaces.push(low + a, low + b, low + nodesPerLevel + b);
				electrodeFaces.push(low + a, low + nodesPerLevel + b, low + nodesPerLevel + a);
				electrodeOfFace.push(4 * band + e, 4 * band + e);
			}
	}
	return {
		geometryId: 1,
		nodes: levels.flatMap((_, k) =>
			flat.flatMap(([x, y]) => [x, y].map((v) => v * (options.scales?.[k] ?? 1))),
		),
		nodesPerLevel,
		levels,
		triangles,
		skin: Array.from({ length: perRing }, (_, s) => at(rings, s)),
		regionOf,
		electrodeFaces,
		electrodeOfFace,
		regions: [
			{ id: "inner", name: "Inner", tissue: "muscle", trendIndex: 0 },
			{ id: "front", name: "Front", tissue: "muscle", trendIndex: 1 },
			{ id: "back", name: "Back", tissue: "muscle", trendIndex: 2 },
		],
		bandHeights,
		electrodeCounts: bandHeights.map(() => 4),
		side: "right",
		unit: "S/m",
		prior: "diagonal",
		rule: "noise-figure",
		lambda: 0.01,
		noiseFigure: 1.5,
	};
}
