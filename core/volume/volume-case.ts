import { z } from "zod";
import type { Band, ReadingPattern } from "../band/band.ts";
import { createBandsPattern } from "../band/bands-pattern.ts";
import { placeElectrodes } from "../band/electrodes.ts";
import { type InvalidInput, invalid, readAs } from "../invalid-input.ts";
import type { OutlineShape, Point } from "../limb/limb.ts";
import { createOutline } from "../limb/outline.ts";
import { reaches } from "../physics/case.ts";
import { conductivity, metres, setupSchema, sigma } from "../physics/case-format.ts";
import { attempt, readCaseReadings } from "../physics/case-readings.ts";
import { type Result, success } from "../result.ts";
import type { Ball } from "./ball.ts";
import type { ExtrudedBody } from "./extruded-body.ts";

/** A case in three dimensions, checked: everything fits together. */
export interface VolumeCase {
	readonly name: string;
	readonly body: ExtrudedBody;
	/** A later one lies over an earlier one, and all over the rods. */
	readonly balls: readonly Ball[];
	readonly pattern: ReadingPattern;
	/** [nReadings] A */
	readonly current: Float64Array;
}

const MOST_BANDS = 4;

const bandList = `a list of 1 to ${MOST_BANDS} bands`;

const triple = "three numbers [x, y, z] in metres";

const coordinate = metres(-10, 10);

const region = z.union(
	[
		z.object({
			shape: z.literal("circle", '"circle" or "sphere"').default("circle"),
			center: z.tuple([coordinate, coordinate], "a pair of numbers [x, y] in metres"),
			radius: metres(1e-6, 10),
			sigma,
		}),
		z.object({
			shape: z.literal("sphere", '"circle" or "sphere"').default("sphere"),
			center: z.tuple([coordinate, coordinate, coordinate], triple),
			radius: metres(1e-6, 10),
			sigma,
		}),
	],
	"a circle with center [x, y], radius and sigma, or a sphere with center [x, y, z]",
);

/** As `setupSchema`, with a height, bands along it and electrodes that have a height too. */
const volumeSchema = setupSchema.extend({
	dimension: z.literal(3, "3"),
	height: metres(1e-3, 10),
	bands: z
		.array(z.object({ z: metres(0, 10) }, "an object with z"), bandList)
		.min(1, bandList)
		.max(MOST_BANDS, bandList),
	electrodes: setupSchema.shape.electrodes.extend({ height: metres(1e-5, 10) }),
	regions: z.array(region, "a list of regions").max(200, "at most 200 regions").default([]),
});

/**
 * Reads a case of `dimension` 3: the cross-section of the format in two dimensions (described beside the reference
 * data in `test/outside/data/README.md`) all along a `height`, `bands` whose electrodes' centres lie at `z` from its
 * bottom, electrodes with a `height`; electrode i of band b has number b · count + i. A circle stands for a rod along
 * the whole height; a sphere has a centre of three numbers.
 */
export function parseVolumeCase(input: unknown): Result<VolumeCase, InvalidInput> {
	const read = readAs(volumeSchema, input);
	if (!read.ok) return read;
	const file = read.value;
	const { count, width, firstAngleDeg, direction, height: electrodeHeight } = file.electrodes;
	const electrodeCount = count * file.bands.length;

	const impedances = file.contactImpedance;
	if (typeof impedances !== "number" && impedances.length !== electrodeCount)
		return invalid("contactImpedance", `${electrodeCount} values, one per electrode`, impedances);
	const counts = file.bands.map(() => count);
	const readings = readCaseReadings(file, electrodeCount, (drive) => createBandsPattern(counts, drive));
	if (!readings.ok) return readings;

	const bands = file.bands.map(({ z: centre }) => ({
		from: centre - electrodeHeight / 2,
		to: centre + electrodeHeight / 2,
	}));
	// what a file rounds must not count
	const slack = 1e-9 * file.height;
	for (const [i, { from, to }] of bands.entries()) {
		if (from < -slack || to > file.height + slack)
			return invalid(
				`bands[${i}]`,
				`electrodes within the height of ${file.height} m`,
				`electrodes from ${metre(from)} to ${metre(to)} m`,
			);
		for (const [k, other] of bands.slice(0, i).entries())
			if (from < other.to + slack && other.from < to + slack)
				return invalid(`bands[${i}]`, `a place clear of band ${k}'s electrodes`, `z = ${file.bands[i]!.z} m`);
	}

	const line = attempt("outline", "a closed line around the origin that does not cross itself", () =>
		createOutline(file.outline as OutlineShape),
	);
	if (!line.ok) return line;
	const outline = line.value;
	const band: Band = {
		electrodeCount: count,
		electrodeWidth: width,
		firstAngle: (firstAngleDeg * Math.PI) / 180,
		direction,
	};
	const placed = attempt("electrodes", "electrodes that fit on the outline side by side", () =>
		placeElectrodes(outline, band),
	);
	if (!placed.ok) return placed;

	const rods: { center: Point; radius: number; sigma: number }[] = [];
	const balls: Ball[] = [];
	for (const [i, { center, radius, sigma }] of file.regions.entries()) {
		const [x, y, height] = center;
		if (
			!reaches(outline, [x, y], radius) ||
			(height !== undefined && (height + radius < 0 || height - radius > file.height))
		)
			return invalid(`regions[${i}]`, "a region that lies at least partly inside the body", "one outside");
		if (height === undefined) rods.push({ center: [x, y], radius, sigma });
		else balls.push({ center: [x, y, height], radius, sigma });
	}
	const backgroundSigma = file.background?.sigma;
	if (backgroundSigma === undefined) return invalid("background.sigma", conductivity, undefined);

	return success({
		name: file.name ?? "case",
		body: {
			outline,
			height: file.height,
			backgroundSigma,
			rods,
			band,
			bands: bands.map(({ from, to }) => ({ from: Math.max(0, from), to: Math.min(file.height, to) })),
			contactImpedance:
				typeof impedances === "number"
					? new Float64Array(electrodeCount).fill(impedances)
					: Float64Array.from(impedances),
		},
		balls,
		...readings.value,
	});
}

function metre(value: number): string {
	return String(Number(value.toPrecision(6)));
}
