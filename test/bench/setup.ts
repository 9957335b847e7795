/** From limb to matrix in two dimensions at the default mesh, beside the same pipeline in scipy at as many triangles
 *  (mesh making left out on both sides). */
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { buildPictureModel, meshSubject, type PictureModel } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { summarise } from "./measure.ts";
import { runYardstick } from "./yardstick.ts";

const runs = 30;
const warmUps = 8;

const pattern = createPattern(16, "adjacent", "four-terminal");

function subjectOfThigh() {
	const limb = createThigh({
		side: "left",
		outline: { type: "circle", radius: 0.084 },
		fatThickness: 0.01,
		level: 0.5,
	});
	return limbSubject(
		limb,
		{ electrodeCount: 16, electrodeWidth: 0.02, firstAngle: Math.PI / 2, direction: "anticlockwise" },
		50_000,
	);
}

export function thighModel(values: "nodes" | "cells"): PictureModel {
	return buildPictureModel({
		subject: subjectOfThigh(),
		pattern,
		ohmMetrePerUnit: 50,
		noise: new Float64Array(pattern.terminals.length / 4).fill(1e-6),
		prior: "diagonal",
		rule: "noise-figure",
		values,
	});
}

export function benchSetup(): Record<string, unknown> {
	const whole: number[] = [];
	const afterMesh: number[] = [];
	let cold = 0;
	for (let run = 0; run < warmUps + runs; run++) {
		const began = performance.now();
		const subject = subjectOfThigh();
		const meshed = performance.now();
		meshSubject(subject);
		const meshMillis = performance.now() - meshed;
		const built = performance.now();
		thighModel("nodes");
		const total = performance.now() - built;
		if (run === 0) cold = performance.now() - began;
		if (run < warmUps) continue;
		whole.push(1000 * total);
		afterMesh.push(1000 * (total - meshMillis));
	}
	const triangles = thighModel("cells").geometry.cellAreas.length;
	const scipy = runYardstick("setup.py", [String(triangles)]);
	const ours = summarise(afterMesh);
	return {
		triangles,
		"limb to matrix ms": summarise(whole).median / 1000,
		"limb to matrix ms, first time": Number(cold.toPrecision(4)),
		"mesh to matrix ms": ours.median / 1000,
		"scipy ms": scipy === null ? null : 1000 * scipy.total!,
		"ratio to scipy": scipy === null ? null : Number((ours.median / 1e6 / scipy.total!).toFixed(2)),
	};
}
