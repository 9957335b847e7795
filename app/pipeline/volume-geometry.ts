import { rowNorms } from "../../core/picture/picture-model.ts";
import type { VolumeModel } from "../../core/volume/volume-model.ts";
import type { VolumePictureGeometry } from "../contract.ts";
import type { MadeVolume, VolumeRequest } from "./volume-messages.ts";

/** Hundredths of a millimetre: finer is not seen, and every digit travels. */
const PER_METRE = 1e5;

/** What frames are pictured and drawn with; the rest of the model has served its time. */
export function madeVolume(model: VolumeModel, request: VolumeRequest): MadeVolume {
	const {
		matrix,
		fold,
		projection,
		dataSpace,
		readingCount,
		ohmMetrePerUnit,
		trendRegions,
		prior,
		movement,
	} = model;
	return {
		model: {
			matrix,
			fold,
			projection,
			dataSpace,
			readingCount,
			ohmMetrePerUnit,
			trendRegions,
			prior,
			movement,
		},
		geometry: geometryOf(model, request),
		regions: trendRegions,
		modelRest: model.modelRest,
		noisePerOhm: rowNorms(matrix, matrix.rowCount - trendRegions.length, trendRegions.length),
	};
}

function geometryOf(
	{ geometry, rule, lambda, noiseFigure }: VolumeModel,
	{ places, band }: VolumeRequest,
): Omit<VolumePictureGeometry, "geometryId"> {
	const { nodesPerLevel, levels, triangles, skin, regionOf, electrodeFaces, electrodeOfFace } = geometry;
	const rounded = (metre: number): number => Math.round(metre * PER_METRE) / PER_METRE;
	const flat: number[] = [];
	for (let v = 0; v < geometry.nodes.length; v += 3)
		flat.push(rounded(geometry.nodes[v]!), rounded(geometry.nodes[v + 1]!));
	return {
		nodes: flat,
		nodesPerLevel,
		levels: Array.from(levels),
		triangles: Array.from(triangles),
		skin: Array.from(skin),
		regionOf: Array.from(regionOf),
		electrodeFaces: Array.from(electrodeFaces),
		electrodeOfFace: Array.from(electrodeOfFace),
		regions: geometry.regions,
		bandHeights: Array.from(geometry.bandHeights),
		electrodeCounts: places.map(() => band.electrodeCount),
		side: geometry.side,
		unit: "S/m",
		prior: "diagonal",
		rule,
		lambda,
		noiseFigure,
	};
}
