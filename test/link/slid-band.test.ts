import { expect, test } from "vitest";
import { afterSlide } from "../../app/link/simulated/slid-band.ts";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { cellVolumes, type VolumeMesh } from "../../core/volume/volume-mesh.ts";
import type { VolumeSubject } from "../../core/volume/volume-subject.ts";
import { createThighVolume } from "../volume/create-volume.ts";

const pattern = createBandsPattern([8, 8], "adjacent");

function readings(subject: VolumeSubject, mesh: VolumeMesh): Float64Array {
	const { contactImpedance } = subject;
	const field = createVolumeSolver(mesh).solve(restSigmaOf(subject, mesh), contactImpedance);
	return readingsFrom(field, pattern, 1);
}

test("a band that slid reads as one that was put on there, on a mesh of its own", () => {
	const before = createThighVolume([0.2, 0.25], 8);
	const there = createThighVolume([0.2, 0.242], 8);
	const mesh = meshVolume(before, 24_000);
	const slid = afterSlide(mesh, before, 1, -0.008);

	// the same limb, cut otherwise: as much of it, and the other band where it was
	const total = (m: VolumeMesh) => cellVolumes(m).reduce((sum, v) => sum + v, 0);
	expect(Math.min(...cellVolumes(slid))).toBeGreaterThan(0);
	expect(Math.abs(total(slid) / total(mesh) - 1)).toBeLessThan(2e-3);
	const lower = mesh.levels.filter((z) => z <= 0.215);
	expect(slid.levels.slice(0, lower.length)).toEqual(lower);
	expect(Math.max(...mesh.levels.map((z, k) => z - slid.levels[k]!))).toBeCloseTo(0.008, 9);

	const rest = readings(before, mesh);
	const moved = readings(before, slid);
	const wanted = readings(there, meshVolume(there, 24_000));
	let error = 0;
	let change = 0;
	for (const [r, value] of wanted.entries()) {
		// between bands, where a slide shows
		const isAcross = pattern.terminals[4 * r]! < 8 !== pattern.terminals[4 * r + 2]! < 8;
		if (!isAcross) continue;
		error += (moved[r]! - value) ** 2;
		change += (rest[r]! - value) ** 2;
	}
	// two meshes of one limb differ in their readings, too
	expect(Math.sqrt(error / change)).toBeLessThan(0.2);
});
