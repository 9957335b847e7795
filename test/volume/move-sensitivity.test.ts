import { expect, test } from "vitest";
import { bandMoves } from "../../core/volume/band-moves.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { transferByMoves } from "../../core/volume/move-sensitivity.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { relativeError } from "../outside/forward-cases.ts";
import { createThighVolume } from "./create-volume.ts";

// a mesh whose nodes moved, solved anew, is what the derivatives are derivatives of
test.each([
	["a slide", [0.2, 0, 0, 0]],
	["a twist", [0, 0.08, 0, 0]],
	["slides and twists of both bands", [0.15, -0.1, -0.1, 0.15]],
] as const)("potentials after %s are those of the moved mesh, to the second order", (_, shares) => {
	const subject = createThighVolume([0.2, 0.27], 8);
	const { contactImpedance } = subject;
	const mesh = meshVolume(subject, 2500);
	const sigma = restSigmaOf(subject, mesh);
	const solver = createVolumeSolver(mesh);
	const field = solver.solve(sigma, contactImpedance);
	const units = [0.01, 0.09, 0.01, 0.09];
	const velocities = bandMoves(subject, mesh).velocities.map((velocity, m) =>
		velocity.map((v) => v * units[m]!),
	);
	const { first, second } = transferByMoves({ mesh, solver, field, sigma, contactImpedance }, velocities);
	const moved = {
		...mesh,
		nodes: mesh.nodes.map((x, i) => x + velocities.reduce((sum, v, m) => sum + shares[m]! * v[i]!, 0)),
	};
	const after = createVolumeSolver(moved).solve(sigma, contactImpedance).transfer;
	const change = after.map((z, i) => z - field.transfer[i]!);
	const linear = change.map((_z, i) => first.reduce((sum, z, m) => sum + shares[m]! * z[i]!, 0));
	const square = linear.slice();
	for (let a = 0, pair = 0; a < 4; a++)
		for (let b = 0; b <= a; b++, pair++)
			for (let i = 0; i < square.length; i++)
				square[i]! += (a === b ? 0.5 : 1) * shares[a]! * shares[b]! * second[pair]![i]!;
	expect(relativeError(square, change)).toBeLessThan(0.005);
	expect(relativeError(square, change)).toBeLessThan(relativeError(linear, change) / 4);
});
