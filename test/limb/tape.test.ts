import { expect, test } from "vitest";
import { createOutline } from "../../core/limb/outline.ts";
import { circleFromCircumference, ellipseFromCircumference, ellipsePerimeter } from "../../core/limb/tape.ts";

test("a tape of 53 cm is a circle of 8.435 cm radius and 223.5 cm²", () => {
	const outline = createOutline(circleFromCircumference(0.53));
	expect(outline.circumference).toBeCloseTo(0.53, 6);
	expect(Math.sqrt(outline.area / Math.PI)).toBeCloseTo(0.08435, 5);
	expect(outline.area).toBeCloseTo(0.02235, 5);
});

test.each([0.7, 1, 1.25, 2])("an ellipse %d times as wide as deep keeps the tape's length", (ratio) => {
	const shape = ellipseFromCircumference(0.53, ratio);
	expect(createOutline(shape).circumference).toBeCloseTo(0.53, 6);
	if (shape.type !== "ellipse") throw new Error("not an ellipse");
	expect(shape.a / shape.b).toBeCloseTo(ratio, 12);
});

// Ramanujan's second approximation, Quart. J. Math. 45:350, 1914; its error here is below 1e-9.
test.each([
	[1, 1],
	[1.2, 1],
	[0.8, 1],
	[1.5, 1.1],
])("the perimeter of semi-axes %d and %d agrees with Ramanujan", (a, b) => {
	const h = ((a - b) / (a + b)) ** 2;
	const ramanujan = Math.PI * (a + b) * (1 + (3 * h) / (10 + Math.sqrt(4 - 3 * h)));
	expect(ellipsePerimeter(a, b) / ramanujan).toBeCloseTo(1, 8);
});

test("a flat ellipse is twice its long axis around, there and back", () => {
	expect(ellipsePerimeter(1, 1e-9)).toBeCloseTo(4, 8);
});

test.each([0, -1, Number.NaN, Infinity])("refuses a tape of %d m", (length) => {
	expect(() => circleFromCircumference(length)).toThrow(/circumference must be a positive number/);
	expect(() => ellipseFromCircumference(length, 1)).toThrow(/circumference/);
	expect(() => ellipseFromCircumference(0.5, length)).toThrow(/ratio of width to depth/);
});
