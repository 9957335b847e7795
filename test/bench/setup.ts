/** From limb to matrix in two dimensions at the default mesh, beside the same pipeline in scipy at as many triangles
 *  (mesh making left out on both sides). */
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import {
	buildPictureModel,
	meshSubject,
	type PictureModel,
	restSigma,
} from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { atMost, compare, processorMicros, rounded, time } from "./measure.ts";
import { runYardstick } from "./yardstick.ts";

const runs = 12;
const warmUps = 6;

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

/** At most twice what scipy takes, and for other contact impedances on the same mesh far less than that. */
const mostByScipy = 2;
const mostForContact = 0.25;

export function benchSetup(): Record<string, unknown> {
	const began = performance.now();
	thighModel("nodes");
	const cold = performance.now() - began;
	const triangles = thighModel("cells").geometry.cellAreas.length;
	let whole = Number.POSITIVE_INFINITY;
	const { ours, yardstick, ratio } = compare(
		() => {
			const turn = setUp();
			whole = Math.min(whole, turn.whole);
			return turn.whole - turn.mesh;
		},
		() => {
			const scipy = runYardstick("setup.py", [String(triangles)]);
			return scipy === null ? null : 1e6 * scipy.fastestTotal!;
		},
	);
	const contact = otherContact();
	const milliseconds = (micros: number | null): number | null => micros && rounded(micros / 1000);
	return {
		triangles,
		"limb to matrix ms": milliseconds(whole),
		"limb to matrix ms, first time, on the wall": rounded(cold),
		"mesh to matrix ms": milliseconds(ours),
		"scipy ms": milliseconds(yardstick),
		"ratio to scipy": atMost(mostByScipy, ratio),
		"fields of other contact impedances ms": milliseconds(contact),
		"their ratio to scipy's whole set-up": atMost(mostForContact, yardstick && rounded(contact / yardstick)),
	};
}

interface SetUpMicros {
	readonly mesh: number;
	readonly whole: number;
}

/** Of the fastest of some runs, each. */
function setUp(): SetUpMicros {
	let mesh = Number.POSITIVE_INFINITY;
	let whole = Number.POSITIVE_INFINITY;
	for (let run = 0; run < warmUps + runs; run++) {
		const subject = subjectOfThigh();
		const began = processorMicros();
		meshSubject(subject);
		const meshed = processorMicros();
		thighModel("nodes");
		const ended = processorMicros();
		if (run < warmUps) continue;
		mesh = Math.min(mesh, meshed - began);
		whole = Math.min(whole, ended - meshed);
	}
	return { mesh, whole };
}

/** @returns µs of solving for the fields of other contact impedances where the mesh has been solved on before */
function otherContact(): number {
	const subject = subjectOfThigh();
	const mesh = meshSubject(subject);
	const sigma = restSigma(subject, mesh);
	const solver = createMeshSolver(mesh);
	const other = subject.contactImpedance.map((impedance, l) => impedance * (l === 3 ? 4 : 1));
	return time(() => solver.solve(sigma, other)).p10;
}
