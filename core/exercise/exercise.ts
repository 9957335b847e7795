import { z } from "zod";
import type { thighRegionIds } from "../limb/thigh-atlas.ts";

/** Regions of the thigh that exercises aim at, named as the atlas names them. */
export const muscleRegions = {
	rectusFemoris: "rectus-femoris",
	vastusLateralis: "vastus-lateralis",
	vastusMedialis: "vastus-medialis",
	vastusIntermedius: "vastus-intermedius",
	hamstrings: "hamstrings",
	adductors: "adductors",
} as const satisfies Record<string, (typeof thighRegionIds)[number]>;

export const quadriceps: readonly string[] = [
	muscleRegions.rectusFemoris,
	muscleRegions.vastusLateralis,
	muscleRegions.vastusMedialis,
	muscleRegions.vastusIntermedius,
];

const line = z
	.string("one line of text")
	.trim()
	.min(1, "at least one character")
	.max(300, "at most 300 characters");
const lines = (most: number) => z.array(line, "a list of lines").max(most, `at most ${most} lines`);
const wholeFrom = (low: number, high: number) =>
	z.int(`a whole number from ${low} to ${high}`).min(low, `at least ${low}`).max(high, `at most ${high}`);
const numberFrom = (low: number, high: number) =>
	z.number(`a number from ${low} to ${high}`).min(low, `at least ${low}`).max(high, `at most ${high}`);

/** Nobody can be told to let go sooner (our own bound), s. */
const SHORTEST_HOLD = 0.5;

/** How much of an exercise: always a starting point that the clinician's prescription overrides. */
export const doseSchema = z
	.object({
		sets: wholeFrom(1, 20),
		/** Repetitions, or holds, of one set. */
		repetitions: wholeFrom(1, 100),
		/** s; 0 for repetitions that are not held. */
		holdSeconds: numberFrom(0, 120).refine(
			(seconds) => seconds === 0 || seconds >= SHORTEST_HOLD,
			`0, or at least ${SHORTEST_HOLD} s`,
		),
		/** s between two holds; 0 where repetitions follow one another at the person's own pace. */
		pauseSeconds: numberFrom(0, 120),
		/** s between sets */
		restSeconds: numberFrom(0, 600),
		/** Percent of the reference contraction. */
		target: z
			.object({ low: numberFrom(0, 200), high: numberFrom(0, 300) })
			.refine(({ low, high }) => low < high, "a range that rises"),
	})
	.readonly();

export type Dose = z.infer<typeof doseSchema>;

export const exerciseSchema = z
	.object({
		id: z
			.string("an id")
			.regex(/^[a-z][a-z0-9-]{1,59}$/, "an id such as quad-set: small letters, digits, dashes"),
		origin: z.enum(["library", "own"], "library or own"),
		name: z.string("a name").trim().min(1, "a name").max(80, "at most 80 characters"),
		kind: z.enum(["hold", "repetition"], "hold or repetition"),
		/** Ids of the regions that should work; the first is the one that is counted in. */
		targetRegions: z.array(z.string().min(1).max(60)).min(1, "at least one region").max(20).readonly(),
		dose: doseSchema,
		/** Shown one after the other, in words for everybody. */
		instructions: lines(12).min(1, "at least one line").readonly(),
		/** When to take care or to ask first. */
		cautions: lines(12).readonly(),
		/** When to end it. */
		stopRules: lines(12).readonly(),
		/** Name of the drawing; null for the general one. */
		drawing: z.string().max(60).nullable(),
		/** Where the dose comes from; shown to clinicians. */
		doseSource: z.string().trim().max(500),
	})
	.readonly()
	.refine(({ kind, dose }) => kind === "repetition" || dose.holdSeconds > 0, {
		path: ["dose", "holdSeconds"],
		message: "a hold of more than 0 s",
	});

export type Exercise = z.infer<typeof exerciseSchema>;

/** The longest time that one repetition may take before it is taken for something else (our own bound), s. */
export function longestRepetitionSeconds(dose: Dose): number {
	return Math.max(25, 2 * dose.holdSeconds + 15);
}
