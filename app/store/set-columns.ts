/** What the JSON columns of a set hold, checked when they are read. */
import { z } from "zod";
import { isPain } from "../../core/exercise/pain.ts";
import { planItemSchema } from "../../core/exercise/plan.ts";
import { referenceTargets } from "../../core/exercise/reference-target.ts";

const finite = z.number();
const nullable = finite.nullable();

export { planItemSchema as itemSchema };

export const repetitionsSchema = z.array(
	z.object({
		kind: z.enum(["full", "partial", "unended"]),
		onset: finite,
		offset: finite,
		restLevel: finite,
		peak: finite,
		mean: finite,
		timeToPeak: finite,
		holdTime: finite,
		timeInTarget: nullable,
		longestGap: finite,
	}),
);

const targets = z.array(z.enum(referenceTargets)).readonly();
const ratioSchema = z.discriminatedUnion("state", [
	z.object({ state: z.literal("measured"), ratio: finite }),
	z.object({ state: z.literal("no-reference"), missing: targets.default([]) }),
	z.object({ state: z.literal("not-detected"), in: targets }),
	z.object({ state: z.enum(["within-noise", "no-repetitions"]) }),
]);

const fatigueSchema = z.object({
	slope: finite,
	low: finite,
	high: finite,
	confidence: finite,
	percentPerRepetition: nullable,
	repetitions: finite,
	trend: z.enum(["falling", "rising", "unclear"]),
});

export const summarySchema = z.object({
	full: finite,
	partial: finite,
	unended: finite,
	unit: z.enum(["percent", "raw"]),
	meanPeak: nullable,
	meanEngagement: nullable,
	meanHoldSeconds: nullable,
	totalHoldSeconds: finite,
	meanTimeToPeakSeconds: nullable,
	timeInTargetSeconds: nullable,
	peakVariationPercent: nullable,
	fatigue: fatigueSchema.nullable(),
	coContraction: ratioSchema,
	medialToLateral: ratioSchema,
});

const zeroToTen = z.number().refine(isPain, "0 to 10").nullable();

export const answerSchema = z.object({
	pain: zeroToTen,
	effort: zeroToTen,
	symptoms: z.array(z.string().max(60)).max(50),
});
