import { describe, expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildVolumeModel, type VolumeModel } from "../../core/volume/volume-model.ts";
import { createThighVolume } from "./create-volume.ts";
import { createMovedBands } from "./moved-bands.ts";

const subject = createThighVolume([0.2, 0.27], 12);
const pattern = createBandsPattern([12, 12], "adjacent", "within-and-across");
const readingCount = pattern.terminals.length / 4;
const working = subject.regions.findIndex(({ id }) => id === "rectus-femoris") + 1;

const build = (movement: boolean): VolumeModel =>
	buildVolumeModel({
		subject,
		pattern,
		ohmPerUnit: 1,
		noise: new Float64Array(readingCount).fill(5e-4),
		rule: "noise-figure",
		targetCells: 12_000,
		movement,
	})!;
const still = createPictureKernel(build(false));
const model = build(true);
const moving = createPictureKernel(model);

const energyOf = (values: Float32Array): number =>
	values.reduce((sum, value, k) => sum + value * value * model.geometry.cellVolumes[k]!, 0);
const degrees = (radians: number): number => (radians * 180) / Math.PI;

/** Readings on another mesh than the model's, see `createMovedBands`. Slides in mm, twists in degrees. */
function movedBy(movement: readonly [number, number, number, number]) {
	const { readings, restSigma, meshes } = createMovedBands(subject, pattern, movement, 640, 0.005);
	const regionOf = meshes[0].regionOf;
	const before = readings("before", restSigma);
	for (const kernel of [still, moving]) kernel.setBaseline(before);
	return {
		rest: readings("after", restSigma),
		work: readings(
			"after",
			restSigma.map((s, k) => (regionOf[k % regionOf.length] === working ? 1.1 * s : s)),
		),
	};
}

describe("bands that move", () => {
	test.each([
		["one slides by 5 mm", [5, 0, 0, 0]],
		["one slides away by 8 mm", [-8, 0, 0, 0]],
		["both slide by 10 mm", [10, 0, 10, 0]],
	] as const)("%s: it is told by how much, and pictures are rid of it", (_, movement) => {
		const { rest, work } = movedBy(movement);
		still.apply(rest);
		moving.apply(rest);
		expect(energyOf(moving.values)).toBeLessThan(energyOf(still.values) / 3);
		for (const mode of [0, 2]) {
			const slide = movement[mode]!;
			const error = Math.abs(1000 * moving.moves[mode]! - slide);
			expect(error).toBeLessThan(Math.max(1.5, 0.3 * Math.abs(slide)));
		}
		for (const mode of [1, 3]) expect(Math.abs(degrees(moving.moves[mode]!))).toBeLessThan(0.7);

		moving.applyToRegions(work);
		const own = model.trendRegions.findIndex(({ id }) => id === "rectus-femoris");
		const mean = moving.regionMeans[own]!;
		for (const [i, other] of moving.regionMeans.entries())
			if (i !== own) expect(Math.abs(other)).toBeLessThan(mean / 3);
	});

	test("a twist of one against the other is told, and pictures are rid of it", () => {
		const { rest } = movedBy([0, -4.7, 0, 0]);
		still.apply(rest);
		moving.apply(rest);
		expect(energyOf(moving.values)).toBeLessThan(energyOf(still.values) / 3);
		expect(Math.abs(degrees(moving.moves[1]! - moving.moves[3]!) + 4.7)).toBeLessThan(0.7);
	});
});
