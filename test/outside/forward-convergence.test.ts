/** The published discs (`data/README.md`: FreeFEM 4.11, estimated errors 1e-6 to 2e-6) on finer and finer meshes. */
import { afterAll, describe, expect, test } from "vitest";
import { circlePoints } from "../../core/limb/region-shapes.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import { predictCase } from "../../core/physics/predict-case.ts";
import { readingsFrom, solveForward } from "../../core/physics/solve-forward.ts";
import { readReferenceCase, relativeError } from "./forward-cases.ts";

/** The references' own error: below it nothing can be told. */
const FLOOR = 4e-6;
/** Mesh size h (default), h/2, h/4. */
const TARGETS = [undefined, 4 * 3200, 16 * 3200] as const;

const table: string[] = [];
afterAll(() => {
	console.log(
		[
			"relative L2 error of the voltages at mesh size h (default), h/2, h/4",
			"case                              predict                        live model (linear)",
			...table,
		].join("\n"),
	);
});

describe("the error falls as the mesh is refined", () => {
	test.each([
		"disc-homogeneous-z1e-3",
		"disc-homogeneous-z1e-2",
		"disc-background-for-inclusion",
		"disc-offcentre-inclusion",
		"disc-concentric",
	])("%s", (name) => {
		const reference = readReferenceCase(name);
		const { outline, electrodes, regions, backgroundSigma, contactImpedance, pattern, current } = reference;
		const predicted: number[] = [];
		const live: number[] = [];
		for (const target of TARGETS) {
			const size = target === undefined ? {} : { targetTriangles: target };
			const voltages = predictCase(reference, size);
			if (!voltages.ok) throw new Error(voltages.error.got);
			predicted.push(relativeError(voltages.value, reference.voltages));

			const mesh = meshLimb({
				outline,
				electrodes,
				regions: regions.map(({ center, radius }) => ({
					id: "inclusion",
					name: "inclusion",
					tissue: "muscle",
					points: circlePoints(center, radius),
				})),
				...size,
			});
			const sigma = Float64Array.from(mesh.regionOf, (r) => regions[r - 1]?.sigma ?? backgroundSigma);
			const field = solveForward(mesh, sigma, contactImpedance);
			live.push(relativeError(readingsFrom(field, pattern, current), reference.voltages));
		}
		const row = (errors: number[]) => errors.map((e) => e.toExponential(1).padEnd(9)).join(" ");
		table.push(`${name.padEnd(33)} ${row(predicted)}  ${row(live)}`);

		expect(predicted[0]).toBeLessThan(1e-4);
		expect(predicted[1]).toBeLessThan(Math.max(predicted[0]!, FLOOR));
		expect(predicted[2]).toBeLessThan(Math.max(predicted[1]!, FLOOR));
		expect(live[0]).toBeLessThan(5e-3);
		expect(live[1]).toBeLessThan(live[0]!);
		expect(live[2]).toBeLessThan(live[1]!);
	});
});
