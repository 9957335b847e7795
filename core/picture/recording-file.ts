import { z } from "zod";
import { type InvalidInput, invalid, readAs } from "../invalid-input.ts";
import type { Point } from "../limb/limb.ts";
import { parseSetup, type Setup } from "../physics/case.ts";
import { failure, type Result, success } from "../result.ts";

/** A measured recording in the format of the reference tanks: a setup, frames at rest, and frames that each name
 *  theirs. */
export interface Recording {
	readonly setup: Setup;
	/** Rest readings by name. */
	readonly rests: ReadonlyMap<string, Float64Array>;
	/** In the order of the file. */
	readonly frames: readonly RecordedFrame[];
}

export interface RecordedFrame {
	readonly id: string;
	/** A key of `rests`. */
	readonly rest: string;
	/** [nReadings] V; NaN where the file says that a reading is missing (null). */
	readonly voltages: Float64Array;
	/** What was really there, where the file knows it. */
	readonly targets: readonly RecordedTarget[];
}

export interface RecordedTarget {
	readonly kind: "conductive" | "resistive";
	/** m */
	readonly center: Point;
}

const reading = "a number of volts, or null where a reading is missing";
const readings = z.array(
	z.number(reading).min(-1e9, reading).max(1e9, reading).nullable(),
	"a list of readings",
);
const name = z.string("a name").min(1, "a name").max(200, "a name of at most 200 characters");
const coordinate = z.number("a number of metres").min(-10).max(10);

/** An object's own entries, whatever their names: `z.record` leaves `__proto__` out. */
function entries<T>(value: z.ZodType<T>, expected: string) {
	return z.preprocess(
		(input) =>
			typeof input === "object" && input !== null && !Array.isArray(input)
				? new Map(Object.entries(input))
				: input,
		z.map(name, value, expected),
	);
}

const fileSchema = z.object(
	{
		rests: entries(readings, "an object of frames at rest by name"),
		frames: entries(
			z.object(
				{
					rest: name,
					voltages: readings,
					targets: z
						.array(
							z.object(
								{
									kind: z.enum(["conductive", "resistive"], '"conductive" or "resistive"'),
									center: z.tuple([coordinate, coordinate], "a pair of numbers [x, y] in metres"),
								},
								"an object with kind and center",
							),
							"a list of targets",
						)
						.max(1000, "at most 1000 targets")
						.default([]),
				},
				"an object with rest and voltages",
			),
			"an object of frames by name",
		),
	},
	"a recording: an object with setup, rests and frames",
);

/**
 * Reads a recording that was parsed from JSON; keys that it does not use are ignored.
 *
 * @returns the recording, or the first thing that is wrong: where, what was expected, what was found
 */
export function parseRecording(input: unknown): Result<Recording, InvalidInput> {
	if (typeof input !== "object" || input === null || Array.isArray(input)) {
		return invalid("", "a recording: an object with setup, rests and frames", input);
	}
	const setup = parseSetup("setup" in input ? input.setup : undefined);
	if (!setup.ok) {
		const { path, expected, got } = setup.error;
		return failure({ path: path === "" ? "setup" : `setup.${path}`, expected, got });
	}
	const regions = checkNamedRegions(setup.value);
	if (!regions.ok) return regions;
	const read = readAs(fileSchema, input);
	if (!read.ok) return read;
	const readingCount = setup.value.pattern.terminals.length / 4;
	const expected = `${readingCount} readings, as the setup has`;

	const rests = new Map<string, Float64Array>();
	for (const [id, values] of read.value.rests) {
		if (values.length !== readingCount) return invalid(`rests.${id}`, expected, values);
		rests.set(id, numbersOf(values));
	}
	const frames: RecordedFrame[] = [];
	for (const [id, { rest, voltages, targets }] of read.value.frames) {
		if (!rests.has(rest))
			return invalid(`frames.${id}.rest`, "the name of one of the rests", JSON.stringify(rest));
		if (voltages.length !== readingCount) return invalid(`frames.${id}.voltages`, expected, voltages);
		frames.push({ id, rest, voltages: numbersOf(voltages), targets });
	}
	if (frames.length === 0) return invalid("frames", "at least one frame", "none");
	return success({ setup: setup.value, rests, frames });
}

function numbersOf(values: readonly (number | null)[]): Float64Array {
	return Float64Array.from(values, (value) => value ?? Number.NaN);
}

/** A mean is told by its region's name, and needs cells that are the region's own. */
function checkNamedRegions({ regions }: Setup): Result<null, InvalidInput> {
	for (const [i, { name, center, radius }] of regions.entries()) {
		if (name === null) continue;
		const path = `setup.regions[${i}]`;
		if (regions.findIndex((region) => region.name === name) < i) {
			return invalid(`${path}.name`, "a name that no other region has", JSON.stringify(name));
		}
		const over = regions.findIndex(
			(later, k) =>
				k > i &&
				Math.hypot(later.center[0] - center[0], later.center[1] - center[1]) + radius <= later.radius,
		);
		if (over >= 0) {
			return invalid(path, "a named region that no later one covers", `one under setup.regions[${over}]`);
		}
	}
	return success(null);
}
