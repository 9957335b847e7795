/** Studies of a subject: each takes a second or a few. Runs in the model worker. */
import { effectiveHeightMetre } from "../../core/band/effective-height.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { fatError } from "../../core/picture/fat-error.ts";
import { meritAlongRadius } from "../../core/picture/merit-along-radius.ts";
import { createPictureKernel, type PictureKernel } from "../../core/picture/picture-kernel.ts";
import type { PictureModel } from "../../core/picture/picture-model.ts";
import { trustReadings } from "../../core/picture/reading-trust.ts";
import { type RegionSight, regionSights, sensitivityMap } from "../../core/picture/region-sight.ts";
import { sightGrade } from "../../core/picture/sight-grade.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { BandStudy, FatStudy, Fault } from "../contract.ts";
import { geometryOf, orImpossible, patternOf, pictureModelOf, subjectOf } from "./make-model.ts";
import type { ModelRequest } from "./messages.ts";
import { only, ownPart } from "./own-part.ts";
import type { Study, StudyOf, StudyWish } from "./study.ts";

export function makeStudy(request: ModelRequest, wish: StudyWish): Result<Study, Fault> {
	return orImpossible<Study>(() => {
		const own = ownPart(request);
		switch (wish.kind) {
			case "band":
				return studyBand(own.request, wish.angle);
			case "fat":
				return studyFat(own.request);
			case "strength":
				return tryStrength(own.request, {
					...wish,
					readings: only(wish.readings, own.readings),
					kept: wish.kept && only(wish.kept, own.readings),
				});
		}
	});
}

function studyBand(request: ModelRequest, angle: number): Result<BandStudy, Fault> {
	const subject = subjectOf(request);
	if (!subject.ok) return failure({ kind: "invalid-argument", ...subject.error });
	const { noise } = request;
	const pattern = patternOf(request);
	const model = pictureModelOf(request, subject.value, { values: "cells" });
	const { place, targetRadius, reach, ...merit } = meritAlongRadius({
		subject: subject.value,
		pattern,
		model,
		angle,
	});
	const map = sensitivityMap(subject.value, pattern, model, noise);
	return success({
		knowsNoise: noise !== null,
		place: Array.from(place),
		merit: {
			amplitude: known(merit.amplitude),
			positionError: known(merit.positionError),
			resolution: known(merit.resolution),
			shapeDeformation: known(merit.shapeDeformation),
			ringing: known(merit.ringing),
		},
		targetRadius,
		reach,
		regions: regionSights(subject.value, pattern, model).map((sight) => ({
			id: sight.id,
			name: sight.name,
			grade: sightGrade(sight),
			trouble: troubleOf(sight),
			share: sight.share,
			leak: Number.isFinite(sight.leak) ? sight.leak : null,
			signalToNoise: sight.signalToNoise,
		})),
		map: {
			geometry: { ...geometryOf(model, request), geometryId: 0 },
			values: nodeMeans(model.geometry, map).map(Math.log10),
		},
	});
}

/** JSON has no other way to say that a figure is none. */
function known(figures: Float64Array): (number | null)[] {
	return Array.from(figures, (figure) => (Number.isFinite(figure) ? figure : null));
}

function troubleOf({ verdict }: RegionSight): BandStudy["regions"][number]["trouble"] {
	switch (verdict) {
		case "well":
			return null;
		case "too little of it is shown":
			return "too-little";
		case "others show it too":
			return "others-show-it";
		case "noise hides it":
			return "noise";
	}
}

/** Mean over the cells around each node, by area. */
function nodeMeans({ nodes, triangles, cellAreas }: PictureModel["geometry"], cells: Float64Array): number[] {
	const sums = new Float64Array(nodes.length / 2);
	const areas = new Float64Array(nodes.length / 2);
	for (let i = 0; i < triangles.length; i++) {
		const cell = Math.floor(i / 3);
		sums[triangles[i]!]! += cellAreas[cell]! * cells[cell]!;
		areas[triangles[i]!]! += cellAreas[cell]!;
	}
	return Array.from(sums, (sum, node) => sum / areas[node]!);
}

function studyFat(request: ModelRequest): Result<FatStudy, Fault> {
	const { body, frequencyHertz, noise, settings } = request;
	if (body.kind !== "limb") {
		return failure({ kind: "invalid-argument", path: "limb", expected: "a limb", got: "a tank" });
	}
	const { limb, band } = body;
	const { fatThickness, regions } = fatError({
		limbWithFat: (thickness) => createThigh({ ...limb, fatThickness: thickness }),
		fatThickness: limb.fatThickness,
		band: bandOf(band),
		frequencyHertz,
		pattern: patternOf(request),
		noise,
		prior: settings.prior,
		rule: settings.rule,
		ohmMetrePerUnit: effectiveHeightMetre,
	});
	return success({ fatThickness, regions });
}

/** The model of the last trial, for the many that follow while somebody looks for a strength. */
let kept: { readonly key: string; readonly model: PictureModel; readonly kernel: PictureKernel } | null =
	null;

function tryStrength(
	request: ModelRequest,
	{ lambda, readings, kept: trusted }: Extract<StudyWish, { kind: "strength" }>,
): Result<StudyOf<Extract<StudyWish, { kind: "strength" }>>, Fault> {
	const { rest } = request;
	if (rest === null) return failure({ kind: "no-baseline" });
	const key = JSON.stringify(request, (_, value: unknown) =>
		ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value,
	);
	if (kept?.key !== key) {
		const subject = subjectOf(request);
		if (!subject.ok) return failure({ kind: "invalid-argument", ...subject.error });
		const model = pictureModelOf(request, subject.value, {});
		const kernel = createPictureKernel(model);
		kernel.setBaseline(rest);
		kept = { key, model, kernel };
	}
	const { model, kernel } = kept;
	kernel.setTrust(trusted === null ? null : trustReadings(model, trusted));
	const pictureAt = (strength: number | null) => {
		kernel.setLambda(strength);
		kernel.apply(readings);
		return { nodeValues: Array.from(kernel.values), regionMeans: Array.from(kernel.regionMeans) };
	};
	return success({
		unit: model.unit,
		inUse: pictureAt(null),
		tried: pictureAt(lambda),
		regions: model.trendRegions,
	});
}
