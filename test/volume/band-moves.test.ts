import { expect, test } from "vitest";
import { heldApart } from "../../core/volume/band-moves.ts";
import { createThighVolume } from "./create-volume.ts";

test("bands near to each other are never moved onto each other", () => {
	// electrodes 30 mm high: gaps of 14 and 18 mm, in no order
	const subject = createThighVolume([0.2, 0.248, 0.156], 8);
	const positions = [
		Float64Array.of(1, 0.3, -1, 0.2, 0, 0),
		Float64Array.of(-1, 0, 0, 0, 1, 0),
		Float64Array.of(-1, 0.5, 1, -0.5, -1, 0.1),
	];
	const [up, down, apart] = heldApart(positions, subject, 0.01);
	expect(0.018 - 0.01 * (up![0]! - up![2]!)).toBeCloseTo(0.45 * 0.018, 9);
	expect(0.014 - 0.01 * (down![4]! - down![0]!)).toBeCloseTo(0.45 * 0.014, 9);
	// shortened alike, and twists as they were
	expect(up![0]).toBeCloseTo(-up![2]!, 12);
	expect([up![1], up![3]]).toEqual([0.3, 0.2]);
	expect(apart).toEqual(positions[2]);
});
