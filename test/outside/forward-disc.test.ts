/** Discs against solutions without a mesh: Isaacson's eigenvalues of the layered disc with Legendre polynomials per
 *  electrode (`test/physics/disc-oracle.ts`), and point electrodes in closed form. */
import { describe, expect, test } from "vitest";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { discEigenvalue, type LayeredDisc, solveDisc } from "../physics/disc-oracle.ts";
import { caseOf, discCases, errorOnDisc, predicted } from "./disc-cases.ts";
import { readReferenceCase, relativeError } from "./forward-cases.ts";

const even = (count: number, impedance: number) => Array.from({ length: count }, () => impedance);

/** Multiplicative generator of Park & Miller, Commun. ACM 31:1192 (1988). */
function createRandom(seed: number) {
	let state = seed;
	return (from: number, to: number) => {
		state = (48271 * state) % 2147483647;
		return from + ((to - from) * state) / 2147483647;
	};
}

describe("discs without a mesh", () => {
	test.each(["disc-homogeneous-z1e-3", "disc-homogeneous-z1e-2", "disc-concentric"])(
		"the oracle itself agrees with FreeFEM on %s",
		(name) => {
			const { contactImpedance, backgroundSigma, regions, pattern, current, voltages } =
				readReferenceCase(name);
			const transfer = solveDisc({
				radius: 0.08,
				sigma: backgroundSigma,
				layers: regions,
				electrodeCount: 16,
				electrodeWidth: 0.01,
				contactImpedance: Array.from(contactImpedance),
			});
			const own = readingsFrom({ electrodeCount: 16, transfer }, pattern, current);
			expect(relativeError(own, voltages)).toBeLessThan(1e-6);
		},
	);

	test.each([1, 2, 3, 4, 5, 6])("random disc %d: every count, width, contact and inclusion", (seed) => {
		const random = createRandom(1000 * seed);
		const electrodeCount = [8, 12, 16, 20, 24, 32][Math.floor(random(0, 6))]!;
		const radius = random(0.05, 0.15);
		const disc: LayeredDisc = {
			radius,
			sigma: random(0.1, 1),
			layers: [{ radius: radius * random(0.2, 0.85), sigma: 10 ** random(-2, 1) }],
			electrodeCount,
			electrodeWidth: ((2 * Math.PI * radius) / electrodeCount) * random(0.15, 0.7),
			contactImpedance: Array.from({ length: electrodeCount }, () => 10 ** random(-3, -2)),
		};
		expect(errorOnDisc(disc, 28)).toBeLessThan(3e-4);
	});

	test.each(discCases)("$name", ({ disc, degree, tolerance }) => {
		expect(errorOnDisc(disc, degree)).toBeLessThan(tolerance);
	});
});

describe("electrodes shrunk to points", () => {
	/** Unit disc, unit conductivity and current, 16 adjacent drives of the first pair only. */
	const shrunk = (width: number, layers: LayeredDisc["layers"]) =>
		predicted(
			caseOf({
				radius: 1,
				sigma: 1,
				layers,
				electrodeCount: 16,
				electrodeWidth: width,
				contactImpedance: even(16, 1e-3),
			}),
		).subarray(0, 13);

	// Potential of a point source on the rim of a disc by its mirror image: −ln(d)/(πσ)
	const points = Float64Array.from({ length: 13 }, (_, i) => {
		const chord = (a: number, b: number) => 2 * Math.sin((Math.PI * Math.abs(a - b)) / 16);
		const k = i + 2;
		return Math.log((chord(k, 1) * chord(k + 1, 0)) / (chord(k, 0) * chord(k + 1, 1))) / Math.PI;
	});

	test("read what mirror images give on the uniform disc, the closer the smaller they are", () => {
		expect(points[0]).toBeCloseTo(-0.095798, 6);
		expect(points[6]).toBeCloseTo(-0.012352, 6);
		const errors = [0.08, 0.04, 0.02].map((width) => relativeError(shrunk(width, []), points));
		expect(errors[2]).toBeLessThan(1e-3);
		// by the square of the width: point electrodes are the far field of any small electrode
		expect(errors[0]! / errors[1]!).toBeGreaterThan(3);
		expect(errors[1]! / errors[2]!).toBeGreaterThan(3);
	});

	test.each([
		[2, [3.99, -2.32, -13.57, -24.26, -32.01, -36.48, -37.93]],
		[0.5, [-4.98, 1.38, 14.21, 27.7, 38.55, 45.38, 47.7]],
	])(
		"change by an inclusion of half the radius and conductivity %d as Isaacson's series says",
		(sigma, percent) => {
			const layers = [{ radius: 0.5, sigma }];
			const series = Array.from({ length: 7 }, (_, i) => {
				const angles = (2 * Math.PI) / 16;
				let sum = 0;
				for (let n = 1; n < 60; n++) {
					const more = discEigenvalue({ radius: 1, sigma: 1, layers }, n) - 1 / n;
					const u = (electrode: number) =>
						(more / Math.PI) * (Math.cos(n * electrode * angles) - Math.cos(n * (electrode - 1) * angles));
					sum += u(i + 2) - u(i + 3);
				}
				return (100 * sum) / points[i]!;
			});
			const uniform = shrunk(0.02, []);
			const changed = shrunk(0.02, layers);
			for (const [i, expected] of percent.entries()) {
				expect(Math.abs(series[i]! - expected)).toBeLessThan(0.01);
				expect(Math.abs(100 * (changed[i]! / uniform[i]! - 1) - expected)).toBeLessThan(0.1);
			}
		},
	);
});
