/**
 * What a band would see, what an error of fat does, and another strength of the live picture. Made in a thread of its own,
 * so that the live picture's model never waits for a study; answers are kept for when the same is asked again.
 */
import { createPattern } from "../../core/band/patterns.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type {
	BandSetup,
	BandStudy,
	FatStudy,
	Fault,
	LimbSetup,
	RequestArgument,
	StrengthChoice,
	StrengthTrial,
} from "../contract.ts";
import type { ModelRequest } from "../pipeline/messages.ts";
import type { ModelBuilder } from "../pipeline/model-builder.ts";
import type { Live } from "./live.ts";
import { impossibleSetUp } from "./possible-set-up.ts";
import type { SetUp } from "./set-up.ts";

export interface StudyDesk {
	band(wish: RequestArgument<"studyBand">, signal: AbortSignal): Promise<Result<BandStudy, Fault>>;
	fat(wish: RequestArgument<"studyFat">, signal: AbortSignal): Promise<Result<FatStudy, Fault>>;
	strength(): Result<StrengthChoice, Fault>;
	tryStrength(
		wish: RequestArgument<"tryStrength">,
		signal: AbortSignal,
	): Promise<Result<StrengthTrial, Fault>>;
}

export interface StudyDeskParts {
	readonly live: Pick<Live, "pictured" | "drive">;
	readonly setUp: Pick<SetUp, "pictureSettings">;
	/** For studies alone. */
	readonly builder: ModelBuilder;
}

/** Of each kind; a set-up is changed to and fro a few times at most. */
const KEPT = 12;
/** Where no board streams. */
const USUAL_HERTZ = 50_000;

export function createStudyDesk({ live, setUp, builder }: StudyDeskParts): StudyDesk {
	const bands = new Map<string, BandStudy>();
	const fats = new Map<string, FatStudy>();
	/** What was pictured last. */
	let last: {
		readonly modelId: number;
		readonly request: ModelRequest;
		readonly readings: Float64Array;
		readonly kept: Float64Array | null;
	} | null = null;

	/** As the live band would be pictured on that limb; its rest counts where it has as many electrodes. */
	function requestOf(limb: LimbSetup, band: BandSetup): ModelRequest {
		const { pictureSettings: settings } = setUp;
		const pictured = live.pictured;
		const frequencyHertz = live.drive?.frequencyHertz ?? USUAL_HERTZ;
		const shared = {
			bandIndex: 0,
			body: { kind: "limb", limb, band } as const,
			electrodeCount: band.electrodeCount,
			frequencyHertz,
			settings,
		};
		if (pictured !== null && pictured.request.electrodeCount === band.electrodeCount) {
			const { terminals, noise, rest } = pictured.request;
			return { ...shared, terminals, noise, rest };
		}
		const { terminals } = createPattern(band.electrodeCount, "adjacent");
		return { ...shared, terminals, noise: null, rest: null };
	}

	async function keeping<T>(
		kept: Map<string, T>,
		key: string,
		study: () => Promise<Result<T, Fault>>,
	): Promise<Result<T, Fault>> {
		const known = kept.get(key);
		if (known !== undefined) return success(known);
		const made = await study();
		if (made.ok) {
			kept.set(key, made.value);
			const oldest = kept.keys().next().value;
			if (kept.size > KEPT && oldest !== undefined) kept.delete(oldest);
		}
		return made;
	}

	return {
		async band({ limb, band, towards }, signal) {
			const impossible = impossibleSetUp({ limb, band });
			if (impossible !== null) return failure(impossible);
			const request = requestOf(limb, band);
			const angle = angleOf(towards, limb.side);
			return keeping(bands, `${towards} ${keyOf(request)}`, () =>
				builder.study(request, { kind: "band", angle }, signal),
			);
		},
		async fat({ limb, band }, signal) {
			const impossible = impossibleSetUp({ limb, band });
			if (impossible !== null) return failure(impossible);
			const request = requestOf(limb, band);
			return keeping(fats, keyOf(request), () => builder.study(request, { kind: "fat" }, signal));
		},
		strength() {
			const pictured = live.pictured;
			if (pictured === null) return failure({ kind: "no-baseline" });
			const { strength, geometry, modelId } = pictured.model;
			const { rule, lambdaByHand } = geometry;
			return success({ ...strength, geometryId: modelId, rule, lambdaByHand });
		},
		async tryStrength({ lambda, frame }, signal) {
			const pictured = live.pictured;
			if (pictured === null || pictured.ohm === null) return failure({ kind: "no-baseline" });
			const { request, ohm, kept } = pictured;
			const { modelId } = pictured.model;
			const isSame = frame === "same" && last?.modelId === modelId;
			const moment = isSame && last !== null ? last : { modelId, request, readings: ohm.slice(), kept };
			last = moment;
			const wish = { kind: "strength", lambda, readings: moment.readings, kept: moment.kept } as const;
			const tried = await builder.study(moment.request, wish, signal);
			return tried.ok ? success({ ...tried.value, geometryId: modelId }) : tried;
		},
	};
}

/** +x is the person's left: lateral for a left limb. */
function angleOf(towards: RequestArgument<"studyBand">["towards"], side: "left" | "right"): number {
	switch (towards) {
		case "front":
			return Math.PI / 2;
		case "back":
			return -Math.PI / 2;
		case "outer":
			return side === "left" ? 0 : Math.PI;
		case "inner":
			return side === "left" ? Math.PI : 0;
	}
}

function keyOf(request: ModelRequest): string {
	return JSON.stringify(request, (_, value: unknown) =>
		ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value,
	);
}
