/** From a request for a picture model to the model and what pages draw it on. Runs in the model worker. */
import type { ReadingPattern } from "../../core/band/band.ts";
import { effectiveHeightMetre } from "../../core/band/effective-height.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import type { InvalidInput } from "../../core/invalid-input.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { parseSetup } from "../../core/physics/case.ts";
import {
	buildPictureModel,
	type PictureModel,
	type PictureModelOptions,
	type PictureStep,
} from "../../core/picture/picture-model.ts";
import { listsOfCurve } from "../../core/picture/strength.ts";
import { limbSubject, type PictureSubject, setupSubject } from "../../core/picture/subject.ts";
import { overWholeFrames } from "../../core/picture/whole-frames.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { BandSetup, Fault, LimbSetup } from "../contract.ts";
import type { BuiltModel, ModelRequest } from "./messages.ts";
import { ownPart } from "./own-part.ts";

/** As shown to people while they wait. */
const stepTexts: Readonly<Record<PictureStep, string>> = {
	mesh: "Making the mesh",
	field: "Computing how current flows at rest",
	matrix: "Computing the reconstruction matrix",
};

export function makeModel(request: ModelRequest, onStep: (step: string) => void): Result<BuiltModel, Fault> {
	return orImpossible(() => {
		onStep("Laying out limb and electrodes");
		const subject = subjectOf(request);
		if (!subject.ok) return failure({ kind: "invalid-argument", ...subject.error });
		const own = ownPart(request);
		const model = overWholeFrames(
			pictureModelOf(own.request, subject.value, { onStep: (step) => onStep(stepTexts[step]) }),
			own.readings,
			own.readingCount,
		);
		return success({
			model,
			geometry: geometryOf(model, request),
			regions: model.trendRegions,
			strength: strengthOf(model),
		});
	});
}

/** What `core` throws for a limb or band that cannot be is one sentence for people; anything else is our defect. */
export function orImpossible<T>(work: () => Result<T, Fault>): Result<T, Fault> {
	try {
		return work();
	} catch (error) {
		if (!(error instanceof RangeError)) throw error;
		return failure({
			kind: "invalid-argument",
			path: "setUp",
			expected: "a limb and a band that fit each other",
			got: error.message,
		});
	}
}

export function patternOf({ electrodeCount, terminals }: ModelRequest): ReadingPattern {
	return { name: "", electrodeCount, terminals };
}

/** @throws RangeError when limb and band do not fit each other */
export function pictureModelOf(
	request: ModelRequest,
	subject: PictureSubject,
	more: Pick<PictureModelOptions, "values" | "onStep">,
): PictureModel {
	const { noise, rest, settings, body } = request;
	return buildPictureModel({
		subject,
		pattern: patternOf(request),
		// Readings of a plane set-up are volts for each ampere per metre of height: already of the plane.
		ohmMetrePerUnit: body.kind === "limb" ? effectiveHeightMetre : 1,
		noise,
		rest,
		prior: settings.prior,
		rule: settings.rule,
		...(typeof settings.lambdaByHand === "number" && { lambda: settings.lambdaByHand }),
		// Without followed regions movement cannot be told apart: a tank is pictured as if nothing had moved.
		allowsMovement: settings.allowsMovement === true && subject.regions.some(({ inTrends }) => inTrends),
		...more,
	});
}

export function subjectOf({ body, frequencyHertz }: ModelRequest): Result<PictureSubject, InvalidInput> {
	if (body.kind === "limb") return success(layLimb(body.limb, body.band, frequencyHertz));
	const setup = parseSetup(body.setup);
	return setup.ok ? success(setupSubject(setup.value)) : setup;
}

function layLimb(limb: LimbSetup, band: BandSetup, frequencyHertz: number): PictureSubject {
	return limbSubject(createThigh(limb), bandOf(band), frequencyHertz);
}

export function geometryOf(
	model: PictureModel,
	{ bandIndex, settings }: ModelRequest,
): BuiltModel["geometry"] {
	const { nodes, triangles, skin, electrodes, regions, side } = model.geometry;
	return {
		bandIndex,
		nodes: Array.from(nodes),
		triangles: Array.from(triangles),
		skin,
		electrodes,
		regions,
		side,
		unit: model.unit,
		prior: model.prior,
		rule: model.rule,
		lambdaByHand: settings.lambdaByHand ?? null,
		allowsMovement: settings.allowsMovement === true && model.trendRegions.length > 0,
		lambda: model.lambda,
		noiseFigure: model.noiseFigure,
		regionNoise: model.trendRegions.map((_, i) => model.regionNoise?.[i] ?? null),
	};
}

function strengthOf({ curve, lambda, noiseFigure }: PictureModel): BuiltModel["strength"] {
	return {
		lambda,
		noiseFigure,
		choices: curve.choices,
		curve: listsOfCurve(curve),
	};
}
