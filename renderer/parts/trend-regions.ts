import type { PictureGeometry } from "../../app/contract.ts";
import type { TrendRegion } from "../draw/trend-plot.ts";

/** The regions that have a trend, in the order of their means. */
export function trendRegions(geometry: PictureGeometry | null): readonly TrendRegion[] {
	if (geometry === null) return [];
	return geometry.regions
		.flatMap((region) =>
			region.trendIndex === null ? [] : [{ name: region.name, trendIndex: region.trendIndex }],
		)
		.sort((a, b) => a.trendIndex - b.trendIndex);
}
