/** How readings go when bands move, against bodies of one cross-section whose fields are exact along the axis
 *  (`solveExtruded`, itself checked against a cylinder without a mesh in `extruded.test.ts`). */
import { expect, test } from "vitest";
import { errorOfMove, movesOfCylinder } from "./moved-cylinder.ts";

test.each(movesOfCylinder)("changes of readings as %s", (_, slides, tolerance) => {
	expect(errorOfMove(slides)).toBeLessThan(tolerance);
});
