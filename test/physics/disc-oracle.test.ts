import { describe, expect, test } from "vitest";
import { discEigenvalue } from "./disc-oracle.ts";

describe("the mesh-free oracle", () => {
	// λ₁ = (a/σ₀)(1 − μρ²)/(1 + μρ²), μ = (σ₁ − σ₀)/(σ₁ + σ₀): Isaacson, IEEE Trans. Med. Imaging 5:91 (1986)
	test.each([
		[2, [11 / 13, 23.5 / 49]],
		[0.5, [13 / 11, 24.5 / 47]],
		[1, [1, 1 / 2]],
	])(
		"has Isaacson's eigenvalues for an inclusion of half the radius and conductivity %d",
		(sigma, expected) => {
			const disc = { radius: 1, sigma: 1, layers: [{ radius: 0.5, sigma }] };
			expect(discEigenvalue(disc, 1)).toBeCloseTo(expected[0]!, 12);
			expect(discEigenvalue(disc, 2)).toBeCloseTo(expected[1]!, 12);
		},
	);

	test("carries layers outwards as an independent integration of the radial equation does", () => {
		// r (σ r R')' = σ n² R by the Riccati equation for s = σ r R' / (n R): ds/dr = n (σ² − s²)/(σ r)
		const disc = {
			radius: 0.085,
			sigma: 0.0242462,
			layers: [
				{ radius: 0.075, sigma: 0.351828 },
				{ radius: 0.013, sigma: 0.0206419 },
			],
		};
		for (const n of [1, 2, 4, 8]) {
			let s = 0.0206419;
			for (const [from, to, sigma] of [
				[0.013, 0.075, 0.351828],
				[0.075, 0.085, 0.0242462],
			] as const) {
				const steps = 4000;
				const h = (Math.log(to) - Math.log(from)) / steps;
				const slope = (value: number) => (n * (sigma * sigma - value * value)) / sigma;
				for (let i = 0; i < steps; i++) {
					const k1 = slope(s);
					const k2 = slope(s + (h / 2) * k1);
					const k3 = slope(s + (h / 2) * k2);
					const k4 = slope(s + h * k3);
					s += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
				}
			}
			expect(discEigenvalue(disc, n) / (0.085 / (n * s))).toBeCloseTo(1, 8);
		}
	});
});
