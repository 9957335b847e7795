import { z } from "zod";
import { MAX_ELECTRODES, MIN_ELECTRODES } from "../band/electrodes.ts";
import { isPairRule } from "../band/patterns.ts";

export const metres = (least: number, most: number) => {
	const expected = `a number of metres from ${least} to ${most}`;
	return z.number(expected).min(least, expected).max(most, expected);
};
const coordinate = metres(-10, 10);
const pair = "a pair of numbers [x, y] in metres";
const point = z.tuple([coordinate, coordinate], pair);

const outline = z.discriminatedUnion(
	"type",
	[
		z.object({ type: z.literal("circle"), radius: metres(1e-3, 10) }),
		z.object({ type: z.literal("ellipse"), a: metres(1e-3, 10), b: metres(1e-3, 10) }),
		z.object({
			type: z.literal("polygon"),
			points: z
				.array(point, "a list of points [x, y] in metres")
				.min(3, "at least 3 points")
				.max(5000, "at most 5000 points"),
		}),
	],
	'"circle", "ellipse" or "polygon"',
);

/** Texts of what is expected, for checks that the schema alone cannot make. */
export const conductivity = "a conductivity from 1e-9 to 1e6 S/m";
export const sigma = z.number(conductivity).min(1e-9, conductivity).max(1e6, conductivity);
const impedance = "a contact impedance from 1e-9 to 1e3 ohm·m²";
const contactImpedance = z.number(impedance).min(1e-9, impedance).max(1e3, impedance);
export const ampere = "a current in A, not 0";
const current = z
	.number(ampere)
	.min(-1e6, ampere)
	.max(1e6, ampere)
	.refine((value) => value !== 0, ampere);
const count = `a whole number from ${MIN_ELECTRODES} to ${MAX_ELECTRODES}`;
const angle = "an angle in degrees from -3600 to 3600";
export const columnNames = ["source", "sink", "plus", "minus", "current"] as const;
const columns = 'a list of "source", "sink", "plus", "minus" and, unless the case has one, "current"';

/** Setup or case as in a file; messages say what is expected. Keys that are not used here are ignored. */
export const setupSchema = z.object(
	{
		name: z.string("a text").max(500, "a text of at most 500 characters").optional(),
		dimension: z.literal(2, "2 (or, for predict, 3)"),
		outline,
		electrodes: z.object(
			{
				count: z.int(count).min(MIN_ELECTRODES, count).max(MAX_ELECTRODES, count),
				width: metres(1e-5, 10),
				firstAngleDeg: z.number(angle).min(-3600, angle).max(3600, angle),
				direction: z
					.enum(["anticlockwise", "clockwise"], '"anticlockwise" or "clockwise"')
					.default("anticlockwise"),
			},
			"an object with count, width and firstAngleDeg",
		),
		contactImpedance: z.union(
			[contactImpedance, z.array(contactImpedance)],
			`${impedance}, or a list with one per electrode`,
		),
		background: z.object({ sigma }, "an object with sigma").optional(),
		regions: z
			.array(
				z.object(
					{
						shape: z.literal("circle", '"circle"').default("circle"),
						name: z.string("a text").max(200, "a text of at most 200 characters").optional(),
						center: point,
						radius: metres(1e-6, 10),
						sigma,
					},
					"an object with shape, center, radius and sigma",
				),
				"a list of regions",
			)
			.max(200, "at most 200 regions")
			.default([]),
		drive: z
			.string('"adjacent", "opposite" or "skip-N"')
			.refine(isPairRule, '"adjacent", "opposite" or "skip-N"')
			.optional(),
		readings: z
			.object(
				{
					columns: z.array(z.enum(columnNames, columns), columns),
					rows: z
						.array(z.array(z.number("a number"), "a list of numbers"), "a list of rows")
						.min(1, "at least 1 row")
						.max(1_000_000, "at most 1000000 rows"),
				},
				"an object with columns and rows",
			)
			.optional(),
		current: current.optional(),
	},
	"a case: an object with dimension, outline, electrodes and so on",
);

export type SetupFile = z.infer<typeof setupSchema>;
