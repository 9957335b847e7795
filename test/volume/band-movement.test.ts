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
	const { readings, restSigma, meshes } = createMovedBands(subject, pattern, movement);
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
	// mm that a slide may be told wrong, where 30 % of it are less; null: only how near the bands came is told
	test.each([
		["one slides by 5 mm towards the other", [5, 0, 0, 0], 1.5],
		["one slides by 10 mm towards the other", [10, 0, 0, 0], 1.5],
		["the other slides by 10 mm towards the one", [0, 0, -10, 0], 3],
		["one slides away by 10 mm", [-10, 0, 0, 0], 2],
		["the other slides away by 10 mm", [0, 0, 10, 0], 2],
		["both slide up by 10 mm", [10, 0, 10, 0], 1.5],
		["both slide down by 10 mm", [-10, 0, -10, 0], 1.5],
		["they slide apart by 20 mm", [-10, 0, 10, 0], 1.5],
		["they slide together by 20 mm", [10, 0, -10, 0], null],
		["one slides by 10 mm, the other away by 5, and both twist", [10, 5, -5, 5], null],
	] as const)("%s: it is told by how much, and pictures are rid of it", (_, movement, tolerance) => {
		const { rest, work } = movedBy(movement);
		still.apply(rest);
		moving.apply(rest);
		expect(energyOf(moving.values)).toBeLessThan(energyOf(still.values) / 10);
		const told = Array.from(moving.moves);
		const apart = 1000 * (told[0]! - told[2]!);
		expect(Math.abs(apart - (movement[0] - movement[2]))).toBeLessThan(
			Math.max(2, 0.3 * Math.abs(movement[0] - movement[2])),
		);
		if (tolerance !== null)
			for (const mode of [0, 2]) {
				const error = Math.abs(1000 * told[mode]! - movement[mode]!);
				expect(error).toBeLessThan(Math.max(tolerance, 0.3 * Math.abs(movement[mode]!)));
			}
		for (const mode of [1, 3]) expect(Math.abs(degrees(told[mode]!) - movement[mode]!)).toBeLessThan(2);

		moving.applyToRegions(work);
		const own = model.trendRegions.findIndex(({ id }) => id === "rectus-femoris");
		const mean = moving.regionMeans[own]!;
		for (const [i, other] of moving.regionMeans.entries())
			if (i !== own) expect(Math.abs(other)).toBeLessThan(mean / 3);
	});

	test.each([
		["one twists", [0, 5, 0, 0]],
		["the other twists back", [0, 0, 0, -5]],
		["they twist against each other", [0, 5, 0, -5]],
		["both twist alike, which the thigh's shape tells", [0, 5, 0, 5]],
	] as const)("%s: it is told by how much, and pictures are rid of it", (_, movement) => {
		const { rest } = movedBy(movement);
		still.apply(rest);
		moving.apply(rest);
		expect(energyOf(moving.values)).toBeLessThan(energyOf(still.values) / 10);
		for (const mode of [1, 3])
			expect(Math.abs(degrees(moving.moves[mode]!) - movement[mode]!)).toBeLessThan(1.5);
		const apart = degrees(moving.moves[1]! - moving.moves[3]!);
		expect(Math.abs(apart - (movement[1] - movement[3]))).toBeLessThan(1);
	});

	test("muscles that change by 30 % pass for no movement of one band against the other", () => {
		const { readings, restSigma, meshes } = createMovedBands(subject, pattern, [0, 0, 0, 0]);
		const regionOf = meshes[0].regionOf;
		const followed = subject.regions.map(({ inTrends }) => inTrends);
		moving.setBaseline(readings("before", restSigma));
		const one = (label: number) => label === working;
		const all = (label: number) => followed[label - 1] === true;
		for (const isAtWork of [one, all]) {
			moving.applyToRegions(
				readings(
					"after",
					restSigma.map((s, k) => (isAtWork(regionOf[k % regionOf.length]!) ? 1.3 * s : s)),
				),
			);
			const [slide, twist, otherSlide, otherTwist] = Array.from(moving.moves);
			expect(Math.abs(1000 * (slide! - otherSlide!))).toBeLessThan(1);
			expect(Math.abs(degrees(twist! - otherTwist!))).toBeLessThan(0.5);
		}
	});
});
