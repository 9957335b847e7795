/** Our own drawings of how a band is put on, in the same field and parts as the exercises: a thigh seen from the front,
 *  hip at the top, knee at the bottom. */
import type { Stroke } from "./pictograms.ts";

/** Both sides of thigh and knee. */
const thigh: Stroke = {
	part: "body",
	d: "M40 4C37 26 43 46 48 60C50 66 48 72 49 87M84 4C86 26 79 46 73 60C71 66 73 72 72 87M55 66C57 70 64 70 66 66",
};

/** The band between its two edges, lying around the thigh. */
const band: Stroke = {
	part: "work",
	d: "M40.5 29C54 35 71 35 83 29M43.5 45C55 51 69 51 79 45M40.5 29L43.5 45M83 29L79 45",
};

/** Electrode 1 at the front. */
const front: Stroke = { part: "arrow", d: "M58 41a3.4 3.4 0 1 0 6.8 0a3.4 3.4 0 1 0 -6.8 0Z" };

export const bandGuideNames = ["skin", "wet", "place", "close"] as const;
export type BandGuideName = (typeof bandGuideNames)[number];

export const bandGuide: Readonly<Record<BandGuideName, readonly Stroke[]>> = {
	skin: [thigh, { part: "arrow", d: "M50 34L58 43L74 24" }],
	wet: [
		{ part: "body", d: "M14 52C40 62 80 62 106 52M14 70C40 80 80 80 106 70M14 52V70M106 52V70" },
		{
			part: "body",
			d: "M24 64.5a4 4 0 1 0 8 0a4 4 0 1 0 -8 0ZM44 67.5a4 4 0 1 0 8 0a4 4 0 1 0 -8 0ZM68 67.5a4 4 0 1 0 8 0a4 4 0 1 0 -8 0ZM88 64.5a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z",
		},
		{
			part: "arrow",
			d: "M36 18C30 27 29 30 29 33a7 7 0 0 0 14 0C43 30 42 27 36 18ZM60 6C54 15 53 18 53 21a7 7 0 0 0 14 0C67 18 66 15 60 6ZM84 18C78 27 77 30 77 33a7 7 0 0 0 14 0C91 30 90 27 84 18Z",
		},
	],
	place: [thigh, band, front],
	close: [thigh, band, { part: "arrow", d: "M12 37H33M26 31L33 37L26 43M112 37H91M98 31L91 37L98 43" }],
};
