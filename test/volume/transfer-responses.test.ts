/** Responses against the same limb solved again (the reference is the complete electrode model itself, at another state). */
import { beforeAll, describe, expect, test } from "vitest";
import type { ForwardField } from "../../core/physics/forward.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { contactResponses, tissueResponses } from "../../core/volume/transfer-responses.ts";
import { createVolumeSolver, type VolumeSolver } from "../../core/volume/volume-forward.ts";
import type { VolumeMesh } from "../../core/volume/volume-mesh.ts";
import { createThighVolume } from "./create-volume.ts";

const subject = createThighVolume([0.2, 0.25], 8);
const L = 16;
let mesh: VolumeMesh;
let solver: VolumeSolver;
let sigma: Float64Array;
let field: ForwardField;

beforeAll(() => {
	mesh = meshVolume(subject, 4000);
	solver = createVolumeSolver(mesh);
	sigma = restSigmaOf(subject, mesh);
	field = solver.solve(sigma, subject.contactImpedance);
});

/** What four-terminal readings are made of: differences over pairs of driven and read electrodes. */
function readings(transfer: Float64Array): Float64Array {
	const values: number[] = [];
	for (let k = 0; k + 1 < L; k++) {
		for (let m = 0; m + 1 < L; m++) {
			if (Math.abs(m - k) < 2) continue;
			const at = (l: number, e: number) => transfer[l * L + e]!;
			values.push(at(k, m) - at(k + 1, m) - at(k, m + 1) + at(k + 1, m + 1));
		}
	}
	return Float64Array.from(values);
}

function relativeError(got: Float64Array, wanted: Float64Array): number {
	let error = 0;
	let size = 0;
	for (const [i, value] of wanted.entries()) {
		error += (got[i]! - value) ** 2;
		size += value ** 2;
	}
	return Math.sqrt(error / size);
}

const difference = (a: Float64Array, b: Float64Array) => a.map((value, i) => value - b[i]!);

describe("responses of a thigh under two bands", () => {
	/** Two muscles of the section, and what changes at the upper band only. */
	const upper = (z: number) => (z > 0.225 ? 1 : 0);
	const all = () => 1;
	let muscles: Int16Array;

	beforeAll(() => {
		muscles = Int16Array.from(mesh.regionOf, (region) => (region === 2 ? 0 : region === 3 ? 1 : -1));
	});

	function changed(share: number, weight: (z: number) => number): Float64Array {
		return sigma.map((own, cell) => {
			const layer = Math.floor(cell / mesh.regionOf.length);
			const z = (mesh.levels[layer]! + mesh.levels[layer + 1]!) / 2;
			return muscles[cell % mesh.regionOf.length] === 1 ? own * (1 + share * weight(z)) : own;
		});
	}

	test.each([
		["all along the limb", all],
		["at one band only", upper],
	] as const)("to a muscle that conducts better, %s", (_, weight) => {
		const { of } = tissueResponses(mesh, field, muscles, [all, upper]);
		const response = readings(of[1]![weight === all ? 0 : 1]!);
		const muscleSigma = sigma[mesh.regionOf.indexOf(3)]!;
		const answerTo = (share: number): Float64Array => {
			const { transfer } = solver.solve(changed(share, weight), subject.contactImpedance);
			return difference(readings(transfer), readings(field.transfer)).map((v) => v / (share * muscleSigma));
		};
		// the first term of the series alone: what is left falls with the change
		expect(relativeError(response, answerTo(1e-3))).toBeLessThan(2e-3);
		expect(relativeError(response, answerTo(0.1))).toBeLessThan(0.1);
	});

	test("to contacts, of which what four-terminal readings see is small", () => {
		const { of, area } = contactResponses(mesh, field);
		for (const [e, own] of area.entries()) {
			expect(own, `electrode ${e}`).toBeGreaterThan(0.02 * 0.03 * 0.9);
			expect(own).toBeLessThan(0.02 * 0.03 * 1.1);
		}
		const better = subject.contactImpedance.map((z, e) => z * (e % 3 === 0 ? 0.97 : 1));
		const answer = difference(readings(solver.solve(sigma, better).transfer), readings(field.transfer));
		const told = new Float64Array(L * L);
		for (const [e, response] of of.entries()) {
			const admittance = 1 / better[e]! - 1 / subject.contactImpedance[e]!;
			const drop = (better[e]! - subject.contactImpedance[e]!) / area[e]!;
			for (let l = 0; l < L; l++)
				for (let m = 0; m < L; m++)
					told[l * L + m]! +=
						drop * ((l === e ? 1 : 0) - 1 / L) * ((m === e ? 1 : 0) - 1 / L) -
						admittance * response[l * L + m]!;
		}
		expect(relativeError(readings(told), answer)).toBeLessThan(0.05);
		expect(
			relativeError(
				readings(field.transfer).map((v, i) => v + answer[i]!),
				readings(field.transfer),
			),
		).toBeLessThan(0.01);
	});
});
