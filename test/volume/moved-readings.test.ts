/** How readings go when bands move, against bodies of one cross-section whose fields are exact along the axis
 *  (`solveExtruded`, itself checked against a cylinder without a mesh in `extruded.test.ts`). */
import { expect, test } from "vitest";
import { errorOfMove } from "./moved-cylinder.ts";

test.each([
	["one band slides towards the other by 10 mm", [10, 0], 0, 0.1],
	["it slides away by 10 mm", [-10, 0], 0, 0.12],
	["both come nearer by 10 mm", [10, -10], 0, 0.12],
] as const)("changes of readings as %s", (_, slides, twist, tolerance) => {
	expect(errorOfMove(slides, twist)).toBeLessThan(tolerance);
});
