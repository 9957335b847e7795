/** Cylinders that take long without a mesh; the quicker ones are in `extruded.test.ts`. */
import { expect, test } from "vitest";
import { CYLINDER_TOLERANCE, errorOnCylinder, hardCylinders } from "./cylinder-cases.ts";

test.each(hardCylinders)("%s, without a mesh", (_, change, degree) => {
	expect(errorOnCylinder(change, degree)).toBeLessThan(CYLINDER_TOLERANCE);
});
