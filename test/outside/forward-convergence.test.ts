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
	// the finest mesh takes more than a second, so two cases stand for all
	test.each([
		["disc-homogeneous-z1e-3", 2],
		["disc-homogeneous-z1e-2", 2],
		["disc-background-for-inclusion", 2],
		["disc-offcentre-inclusion", 3],
		["disc-concentric", 3],
	])("%s, %d sizes", (name, sizes) => {
		const reference = readReferenceCase(name);
		const { outline, electrodes, regions, backgroundSigma, contactImpedance, pattern, current } = reference;
		const predicted: number[] = [];
		const live: number[] = [];
		for (const target of TARGETS.slice(0, sizes)) {
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
		const row = (errors: number[]) =>
			[0, 1, 2].map((i) => (errors[i]?.toExponential(1) ?? "–").padEnd(9)).join(" ");
		table.push(`${name.padEnd(33)} ${row(predicted)}  ${row(live)}`);

		expect(predicted[0]).toBeLessThan(1e-4);
		for (let i = 1; i < sizes; i++) {
			expect(predicted[i]).toBeLessThan(Math.max(predicted[i - 1]!, FLOOR));
			expect(live[i]).toBeLessThan(live[i - 1]!);
		}
		expect(live[0]).toBeLessThan(5e-3);
	});
});
