/** How readings go when bands move, against bodies of one cross-section whose fields are exact along the axis
 *  (`solveExtruded`, itself checked against a cylinder without a mesh in `extruded.test.ts`). */
import { expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { usualMove } from "../../core/volume/band-movement.ts";
import { readingsByMoves } from "../../core/volume/moved-readings.ts";
import { createThighVolume } from "./create-volume.ts";
import { errorOfMove, movesOfCylinder } from "./moved-cylinder.ts";

test.each(movesOfCylinder)("changes of readings as %s", (_, slides, tolerance) => {
	expect(errorOfMove(slides)).toBeLessThan(tolerance);
});

test("bands whose gaps are shorter than what they may slide", () => {
	const pattern = createBandsPattern([8, 8, 8], "adjacent", "within-and-across");
	const { straight, bends } = readingsByMoves(createThighVolume([0.2, 0.248, 0.16], 8), pattern, usualMove);
	for (const values of [...straight, ...bends]) expect(values.every(Number.isFinite)).toBe(true);
});
