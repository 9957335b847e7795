import { describe, expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { createTaper } from "../../core/limb/taper.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { scaledSlopes, tetrahedronMatrices } from "../../core/volume/volume-elements.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { tetrahedronVolume } from "../../core/volume/volume-mesh.ts";
import { createVolumeSensitivityRows } from "../../core/volume/volume-sensitivity.ts";
import type { VolumeSubject } from "../../core/volume/volume-subject.ts";
import { relativeError } from "../outside/forward-cases.ts";
import { createThighVolume } from "./create-volume.ts";
import { solveCylinder } from "./cylinder-oracle.ts";

const subject = createThighVolume([0.2, 0.27], 8);
const mesh = meshVolume(subject, 6000);
const sigma = restSigmaOf(subject, mesh);
const solver = createVolumeSolver(mesh);
const field = solver.solve(sigma, subject.contactImpedance);
const nodeCount = mesh.nodes.length / 3;

describe("the complete electrode model on tetrahedra", () => {
	test("a linear potential leaves no current inside: the patch test (Irons & Razzaque 1972)", () => {
		const matrices = tetrahedronMatrices(mesh);
		const linear = Float64Array.from(
			{ length: nodeCount },
			(_, v) => 3 * mesh.nodes[3 * v]! - 2 * mesh.nodes[3 * v + 1]! + 5 * mesh.nodes[3 * v + 2]! + 1,
		);
		const current = new Float64Array(nodeCount);
		for (let t = 0; t < mesh.tetrahedra.length / 4; t++) {
			let at = 10 * t;
			for (let i = 0; i < 4; i++)
				for (let j = 0; j <= i; j++) {
					const [a, b] = [mesh.tetrahedra[4 * t + i]!, mesh.tetrahedra[4 * t + j]!];
					current[a]! += matrices[at]! * linear[b]!;
					if (a !== b) current[b]! += matrices[at]! * linear[a]!;
					at++;
				}
		}
		const isOuter = outerNodes();
		const largest = Math.max(...current.map(Math.abs));
		for (let v = 0; v < nodeCount; v++)
			if (isOuter[v] === 0) expect(Math.abs(current[v]!)).toBeLessThan(1e-12 * largest);
	});

	test("drives and readings may be swapped (Geselowitz 1971)", () => {
		const L = field.electrodeCount;
		for (let l = 0; l < L; l++)
			for (let m = 0; m < l; m++)
				expect(field.transfer[l * L + m]).toBeCloseTo(field.transfer[m * L + l]!, 9);
	});

	test("transfer alone, by the Schur complement, is that of the field", () => {
		const alone = solver.transfer(sigma, subject.contactImpedance);
		expect(relativeError(alone, field.transfer)).toBeLessThan(1e-12);
	});

	test("what a drive puts in becomes heat in the limb and under the electrodes", () => {
		const L = field.electrodeCount;
		const [source, sink] = [3, 12];
		const drop =
			field.transfer[source * L + source]! -
			2 * field.transfer[source * L + sink]! +
			field.transfer[sink * L + sink]!;
		const u = field.nodePotentials.subarray(source * nodeCount, (source + 1) * nodeCount).slice();
		for (let v = 0; v < nodeCount; v++) u[v]! -= field.nodePotentials[sink * nodeCount + v]!;
		let heat = 0;
		const slopes = new Float64Array(12);
		for (let t = 0; t < mesh.tetrahedra.length / 4; t++) {
			scaledSlopes(mesh.nodes, mesh.tetrahedra, 4 * t, slopes);
			const volume = tetrahedronVolume(mesh.nodes, mesh.tetrahedra, 4 * t);
			for (let axis = 0; axis < 3; axis++) {
				let slope = 0;
				for (let i = 0; i < 4; i++) slope += slopes[3 * i + axis]! * u[mesh.tetrahedra[4 * t + i]!]!;
				heat += (sigma[Math.floor(t / 3)]! * slope ** 2) / (36 * volume);
			}
		}
		for (let f = 0; f < mesh.electrodeOfFace.length; f++) {
			const l = mesh.electrodeOfFace[f]!;
			const own = field.transfer[source * L + l]! - field.transfer[sink * L + l]!;
			const corners = [0, 1, 2].map((i) => 3 * mesh.electrodeFaces[3 * f + i]!);
			const gap = corners.map((node) => own - u[node / 3]!);
			// ∫ of a square of a linear function over a triangle
			const square = (gap[0]! ** 2 + gap[1]! ** 2 + gap[2]! ** 2 + (gap[0]! + gap[1]! + gap[2]!) ** 2) / 12;
			heat += (triangleArea(corners) * square) / subject.contactImpedance[l]!;
		}
		expect(heat / drop).toBeCloseTo(1, 9);
	});

	test("sensitivities are the slopes of the readings (central differences)", () => {
		const pattern = createBandsPattern([8, 8], "adjacent", "within-and-across");
		const picks = [0, 40, 77, pattern.terminals.length / 4 - 1];
		const terminals = Uint16Array.from(
			picks.flatMap((r) => [...pattern.terminals.subarray(4 * r, 4 * r + 4)]),
		);
		const cells = sigma.length;
		const rows = new Float64Array(picks.length * cells);
		createVolumeSensitivityRows(mesh, field)({ values: rows, stride: cells }, terminals);
		for (const cell of [cells >> 1, 1000, cells - 1500]) {
			const [up, down] = [0.02, -0.02].map((share) => {
				const changed = sigma.slice();
				changed[cell]! *= 1 + share;
				return readingsFrom(solver.solve(changed, subject.contactImpedance), pattern, 1);
			}) as [Float64Array, Float64Array];
			const differences = Float64Array.from(picks, (r) => (up[r]! - down[r]!) / (0.04 * sigma[cell]!));
			const slopes = Float64Array.from(picks, (_, i) => rows[i * cells + cell]!);
			expect(relativeError(slopes, differences)).toBeLessThan(1e-3);
		}
	});

	test("readings approach the mesh-free cylinder's as the mesh grows finer", () => {
		const cylinder = {
			radius: 0.06,
			height: 0.12,
			sigma: 0.35,
			bands: [0.04, 0.08],
			electrodeCount: 8,
			electrodeWidth: 0.02,
			electrodeHeight: 0.02,
			contactImpedance: 0.01,
		};
		const pattern = createBandsPattern([8, 8], "adjacent");
		const exact = readingsFrom(
			{ electrodeCount: 16, transfer: solveCylinder(cylinder, 5, 400, 400) },
			pattern,
			1,
		);
		const round: VolumeSubject = {
			...subject,
			outline: createOutline({ type: "circle", radius: 0.06 }),
			regions: [],
			fatThickness: 0,
			backgroundSigma: 0.35,
			taper: createTaper([{ z: 0, circumference: 2 * Math.PI * 0.06 }]),
			extent: { from: 0, to: 0.12 },
			bands: [0.04, 0.08].map((z) => ({
				z,
				electrodeHeight: 0.02,
				band: { electrodeCount: 8, electrodeWidth: 0.02, firstAngle: 0, direction: "anticlockwise" },
			})),
			contactImpedance: new Float64Array(16).fill(0.01),
		};
		const errors = [4000, 16_000, 64_000].map((cells) => {
			const own = meshVolume(round, cells);
			const solved = createVolumeSolver(own).solve(restSigmaOf(round, own), round.contactImpedance);
			return relativeError(readingsFrom(solved, pattern, 1), exact);
		});
		expect(errors[0]).toBeLessThan(0.1);
		// linear functions: by the square of the size, h² ~ N^−2/3, where currents are smooth; slower at electrodes' edges
		for (const i of [1, 2]) expect(errors[i]! / errors[i - 1]!).toBeLessThan(0.7);
		expect(errors[2]).toBeLessThan(0.03);
	});
});

function outerNodes(): Uint8Array {
	const outer = new Uint8Array(nodeCount);
	const faces = new Map<string, readonly number[]>();
	for (let at = 0; at < mesh.tetrahedra.length; at += 4)
		for (let left = 0; left < 4; left++) {
			const corners = [0, 1, 2, 3].filter((i) => i !== left).map((i) => mesh.tetrahedra[at + i]!);
			const key = corners.sort((a, b) => a - b).join(" ");
			if (!faces.delete(key)) faces.set(key, corners);
		}
	for (const corners of faces.values()) for (const v of corners) outer[v] = 1;
	return outer;
}

function triangleArea(corners: readonly number[]): number {
	const [a, b, c] = corners as [number, number, number];
	const u = [0, 1, 2].map((axis) => mesh.nodes[b + axis]! - mesh.nodes[a + axis]!);
	const v = [0, 1, 2].map((axis) => mesh.nodes[c + axis]! - mesh.nodes[a + axis]!);
	return (
		Math.hypot(u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!) /
		2
	);
}
