import { expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { createTaper } from "../../core/limb/taper.ts";
import { changeByBalls } from "../../core/volume/ball-change.ts";
import type { ExtrudedBody } from "../../core/volume/extruded-body.ts";
import { meshVolume } from "../../core/volume/mesh-volume.ts";
import { parseVolumeCase } from "../../core/volume/volume-case.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { cellVolumes, volumeCellCentres } from "../../core/volume/volume-mesh.ts";
import { createVolumeSensitivityRows } from "../../core/volume/volume-sensitivity.ts";
import { relativeError } from "../outside/forward-cases.ts";

const body: ExtrudedBody = {
	outline: createOutline({ type: "circle", radius: 0.06 }),
	height: 0.12,
	backgroundSigma: 0.35,
	rods: [],
	band: { electrodeCount: 8, electrodeWidth: 0.015, firstAngle: 0, direction: "anticlockwise" },
	bands: [
		{ from: 0.03, to: 0.05 },
		{ from: 0.07, to: 0.09 },
	],
	contactImpedance: new Float64Array(16).fill(0.005),
};
const pattern = createBandsPattern([8, 8], "adjacent");

/**
 * A small ball answers to a field as a dipole of 4πa³·(σ₁ − σ₀)/(σ₁ + 2σ₀) times the field (Maxwell, Treatise §314; Jackson,
 * Classical Electrodynamics, 4.4), so readings change as if the conductivity rose by 3σ₀·(σ₁ − σ₀)/(σ₁ + 2σ₀) in it.
 */
test.each([
	["an insulating", 0.01],
	["a conducting", 3.5],
])("%s ball changes readings as Maxwell's dipole does", (_, sigma) => {
	const ball = { center: [0.012, 0.008, 0.06] as const, radius: 0.012, sigma };
	const change = changeByBalls(body, [ball], pattern, 24_000);

	const mesh = meshVolume(
		{
			...body,
			regions: [],
			fatThickness: 0,
			taper: createTaper([{ z: 0, circumference: body.outline.circumference }]),
			extent: { from: 0, to: 0.12 },
			bands: body.bands.map(({ from, to }) => ({
				z: (from + to) / 2,
				electrodeHeight: 0.02,
				band: body.band,
			})),
			side: null,
		},
		16_000,
	);
	const volumes = cellVolumes(mesh);
	const field = createVolumeSolver(mesh).solve(
		volumes.map(() => 0.35),
		body.contactImpedance,
	);
	const rows = new Float64Array(change.length * volumes.length);
	createVolumeSensitivityRows(mesh, field)({ values: rows, stride: volumes.length }, pattern.terminals);
	const centres = volumeCellCentres(mesh);
	const inside = Array.from(volumes.keys()).filter(
		(k) => Math.hypot(...ball.center.map((x, axis) => centres[3 * k + axis]! - x)) < ball.radius,
	);
	const volume = inside.reduce((sum, k) => sum + volumes[k]!, 0);
	const rise = (3 * 0.35 * (sigma - 0.35)) / (sigma + 0.7);
	const share = ((4 / 3) * Math.PI * ball.radius ** 3) / volume;
	const dipole = change.map(
		(_value, r) => rise * share * inside.reduce((sum, k) => sum + rows[r * volumes.length + k]!, 0),
	);
	// of the change, on a coarser mesh than `predict` takes
	expect(relativeError(change, dipole)).toBeLessThan(0.2);
});

test("a case may hold spheres, with a centre of three numbers", () => {
	const input = {
		dimension: 3,
		outline: { type: "circle", radius: 0.06 },
		height: 0.12,
		bands: [{ z: 0.04 }],
		electrodes: { count: 8, width: 0.015, height: 0.02, firstAngleDeg: 0 },
		contactImpedance: 0.005,
		background: { sigma: 0.35 },
		drive: "adjacent",
		current: 1,
	};
	const sphere = { center: [0.01, 0, 0.06], radius: 0.01, sigma: 1 };
	for (const region of [sphere, { shape: "sphere", ...sphere }]) {
		const read = parseVolumeCase({ ...input, regions: [region] });
		expect(read.ok && read.value.balls).toEqual([sphere]);
	}
	const outside = parseVolumeCase({ ...input, regions: [{ ...sphere, center: [0, 0, 0.2] }] });
	expect(outside.ok).toBe(false);
});
