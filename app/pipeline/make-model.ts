/** From a request for a picture model to the model and what pages draw it on. Runs in the model worker. */
import { effectiveHeightMetre } from "../../core/band/effective-height.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import type { InvalidInput } from "../../core/invalid-input.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { parseSetup } from "../../core/physics/case.ts";
import { buildPictureModel, type PictureModel, type PictureStep } from "../../core/picture/picture-model.ts";
import { limbSubject, type PictureSubject, setupSubject } from "../../core/picture/subject.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { BandSetup, Fault, LimbSetup } from "../contract.ts";
import type { BuiltModel, ModelRequest } from "./messages.ts";

/** As shown to people while they wait. */
const stepTexts: Readonly<Record<PictureStep, string>> = {
	mesh: "Making the mesh",
	field: "Computing how current flows at rest",
	matrix: "Computing the reconstruction matrix",
};

export function makeModel(request: ModelRequest, onStep: (step: string) => void): Result<BuiltModel, Fault> {
	try {
		onStep("Laying out limb and electrodes");
		const subject = subjectOf(request);
		if (!subject.ok) return failure({ kind: "invalid-argument", ...subject.error });
		const { electrodeCount, terminals, noise, rest, settings, body } = request;
		const model = buildPictureModel({
			subject: subject.value,
			pattern: { name: "", electrodeCount, terminals },
			// Readings of a plane set-up are volts for each ampere per metre of height: already of the plane.
			ohmMetrePerUnit: body.kind === "limb" ? effectiveHeightMetre : 1,
			noise,
			rest,
			prior: settings.prior,
			rule: settings.rule,
			onStep: (step) => onStep(stepTexts[step]),
		});
		return success({ model, geometry: geometryOf(model, request.bandIndex), regions: model.trendRegions });
	} catch (error) {
		// What `core` throws for a limb or band that cannot be is one sentence for people; anything else is our defect.
		if (!(error instanceof RangeError)) throw error;
		return failure({
			kind: "invalid-argument",
			path: "setUp",
			expected: "a limb and a band that fit each other",
			got: error.message,
		});
	}
}

function subjectOf({ body, frequencyHertz }: ModelRequest): Result<PictureSubject, InvalidInput> {
	if (body.kind === "limb") return success(layLimb(body.limb, body.band, frequencyHertz));
	const setup = parseSetup(body.setup);
	return setup.ok ? success(setupSubject(setup.value)) : setup;
}

function layLimb(limb: LimbSetup, band: BandSetup, frequencyHertz: number): PictureSubject {
	return limbSubject(createThigh(limb), bandOf(band), frequencyHertz);
}

function geometryOf(model: PictureModel, bandIndex: number): BuiltModel["geometry"] {
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
		lambda: model.lambda,
		noiseFigure: model.noiseFigure,
		regionNoise: model.trendRegions.map((_, i) => model.regionNoise?.[i] ?? null),
	};
}
