/** Bodies of one cross-section against the mesh-free cylinder (`cylinder-oracle.ts`), and against themselves. */
import { describe, expect, test } from "vitest";
import { createAxisElements } from "../../core/volume/axis-elements.ts";
import { axisModes } from "../../core/volume/axis-modes.ts";
import { cutAxis } from "../../core/volume/axis-pieces.ts";
import { predictFile } from "../../core/volume/predict-file.ts";
import { relativeError } from "../outside/forward-cases.ts";
import {
	base,
	CYLINDER_TOLERANCE,
	caseOf,
	errorOnCylinder,
	predicted,
	quickCylinders,
} from "./cylinder-cases.ts";

describe("cylinders without a mesh", () => {
	test.each(quickCylinders)("%s", (_, change, degree) => {
		expect(errorOnCylinder(change, degree)).toBeLessThan(CYLINDER_TOLERANCE);
	});
});

describe("bodies of one cross-section", () => {
	const single = { ...base, bands: [0.04], height: 0.08 };
	const usual = predicted(caseOf(single));

	test("scale: twice the size at the same σz/size halves the voltages", () => {
		const double = caseOf({
			...single,
			radius: 0.12,
			height: 0.16,
			bands: [0.08],
			electrodeWidth: 0.03,
			electrodeHeight: 0.04,
			contactImpedance: 0.01,
		});
		const twice = predicted(double).map((v) => 2 * v);
		expect(relativeError(twice, usual)).toBeLessThan(1e-6);
	});

	test("an ellipse with two equal axes is a circle", () => {
		const ellipse = predicted(caseOf(single, { outline: { type: "ellipse", a: 0.06, b: 0.06 } }));
		expect(relativeError(ellipse, usual)).toBeLessThan(1e-4);
	});

	test("bands may come in any order", () => {
		const rows = Array.from({ length: 5 }, (_, i) => [0, 1, 9 + i, 10 + i]);
		const swapped = rows.map((row) => row.map((l) => (l + 8) % 16));
		const readings = (own: readonly number[][]) => ({
			readings: { columns: ["source", "sink", "plus", "minus"], rows: own },
		});
		const one = predicted(caseOf(base, readings(rows)));
		const other = predicted(caseOf({ ...base, bands: [0.08, 0.04] }, readings(swapped)));
		expect(relativeError(other, one)).toBeLessThan(1e-9);
	});

	test("shapes along the axis are cosines, kπ/H", () => {
		const { breaks } = cutAxis(0.2, [{ from: 0.05, to: 0.07 }], { gradings: 1, radius: 0.08 });
		const { values, shapes, count } = axisModes(createAxisElements(breaks, 4));
		for (let k = 0; k < 5; k++) {
			expect(Math.sqrt(values[k]!)).toBeCloseTo((k * Math.PI) / 0.2, 2);
			expect(Math.abs(shapes[k * count]!)).toBeCloseTo(Math.sqrt((k === 0 ? 1 : 2) / 0.2), 3);
		}
	});

	test.each<[string, object, string]>([
		["no height", { height: undefined }, "height: expected a number of metres from 0.001 to 10, got nothing"],
		["no bands", { bands: [] }, "bands: expected a list of 1 to 4 bands, got a list of 0"],
		[
			"a band beyond the end",
			{ bands: [{ z: 0.005 }] },
			"bands[0]: expected electrodes within the height of 0.12 m, got electrodes from -0.005 to 0.015 m",
		],
		[
			"bands over each other",
			{ bands: [{ z: 0.05 }, { z: 0.06 }] },
			"bands[1]: expected a place clear of band 0's electrodes, got z = 0.06 m",
		],
		[
			"electrodes without a height",
			{ electrodes: { count: 8, width: 0.01, firstAngleDeg: 0 } },
			"electrodes.height: expected a number of metres from 0.00001 to 10, got nothing",
		],
		[
			"a contact impedance for one band only",
			{ contactImpedance: new Array(8).fill(0.01) },
			"contactImpedance: expected 16 values, one per electrode, got a list of 8",
		],
		[
			"a rod outside",
			{ regions: [{ center: [0.1, 0], radius: 0.01, sigma: 1 }] },
			"regions[0]: expected a region that lies at least partly inside the body, got one outside",
		],
		["a fourth dimension", { dimension: 4 }, "dimension: expected 2 (or, for predict, 3), got 4"],
	])("%s: says what is wrong", (_, change, sentence) => {
		const result = predictFile({ ...caseOf(base), ...change });
		if (result.ok) throw new Error("it was computed");
		const { path, expected, got } = result.error;
		expect(`${path}: expected ${expected}, got ${got}`).toBe(sentence);
	});
});
