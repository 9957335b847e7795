import { describe, expect, test } from "vitest";
import { inventedBand, inventedLimb } from "../../app/link/simulated/invented-person.ts";
import type { VoltageModelOptions } from "../../app/link/simulated/reduced-basis.ts";
import { VoltageModel } from "../../app/link/simulated/voltage-model.ts";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";

const electrodeCount = 16;
const muscles = 6;
const largest = 0.042;

/** The model and the whole finite element solution that it stands for, on one mesh. */
function createBoth() {
	const outline = createOutline(inventedLimb.outline);
	const { electrodeWidth } = inventedBand(electrodeCount);
	const band = {
		electrodeCount,
		electrodeWidth,
		firstAngle: Math.PI / 2,
		direction: "anticlockwise" as const,
	};
	const { regions } = createThigh(inventedLimb);
	const electrodes = placeElectrodes(outline, band);
	const mesh = meshLimb({ outline, electrodes, regions, targetTriangles: 3000 });
	const options: VoltageModelOptions = {
		mesh,
		partOf: mesh.regionOf.map((region) => {
			const { id, tissue } = regions[Math.max(0, region - 1)]!;
			if (tissue !== "muscle") return muscles + (tissue === "fat" ? 0 : 1);
			return regions.filter((other) => other.tissue === "muscle").findIndex((other) => other.id === id);
		}),
		restConductivity: Float64Array.from([...new Array<number>(muscles).fill(0.35), 0.0242, 0.0206]),
		largestChange: new Float64Array(muscles).fill(largest),
		restContact: new Float64Array(electrodeCount).fill(0.15),
	};
	const model = new VoltageModel(options);
	const solver = createMeshSolver(mesh);
	const pattern = createPattern(electrodeCount, "adjacent");
	const ampere = 0.02;
	return {
		fast(change: Float64Array, contact: Float64Array) {
			const transfer = new Float64Array(electrodeCount ** 2);
			model.transferInto(change, contact, transfer);
			return readingsFrom({ electrodeCount, transfer }, pattern, ampere);
		},
		whole(change: Float64Array, contact: Float64Array) {
			const sigma = Float64Array.from(
				options.partOf,
				(part) => options.restConductivity[part]! + (change[part] ?? 0),
			);
			return readingsFrom(solver.solve(sigma, contact), pattern, ampere);
		},
		rest: new Float64Array(muscles),
		contact: options.restContact,
	};
}

const both = createBoth();
const atRest = both.whole(both.rest, both.contact);
const distance = (a: Float64Array, b: Float64Array) => Math.hypot(...a.map((value, i) => value - b[i]!));

describe("the voltage model, against solving the whole finite element model", () => {
	test("is the same at rest", () => {
		expect(distance(both.fast(both.rest, both.contact), atRest)).toBeLessThan(1e-10 * Math.hypot(...atRest));
	});

	test.each([
		["one muscle a little", [0.05, 0, 0, 0, 0, 0]],
		["one muscle fully", [0, 0, 1, 0, 0, 0]],
		["all fully", [1, 1, 1, 1, 1, 1]],
		["a mixture", [0.5, 0.3, 0.9, 0.1, 0.2, 0.7]],
		["another mixture", [0.1, 0.8, 0.2, 0.9, 0.05, 0.4]],
		["less than at rest", [-0.2, 0.1, -0.1, 0, 0.3, -0.05]],
		["a little more than it was made for", [1.15, 1.1, 1.05, 1.2, 0.9, 1]],
	])("%s: within 0.01 % of the change", (_, share) => {
		const change = Float64Array.from(share, (value) => value * largest);
		const whole = both.whole(change, both.contact);
		expect(distance(both.fast(change, both.contact), whole)).toBeLessThan(1e-4 * distance(whole, atRest));
	});

	// Contacts are a disturbance here, not what is measured: right in kind and size is enough.
	test.each([
		["a better contact", 0.6],
		["a poor one", 4],
		["one that lifts off", 300],
	])("%s: within a fifth of what it does to the readings", (_, factor) => {
		const contact = both.contact.map((z, e) => (e === 5 ? factor * z : z));
		const whole = both.whole(both.rest, contact);
		expect(distance(both.fast(both.rest, contact), whole)).toBeLessThan(0.2 * distance(whole, atRest));
	});

	test("changes of muscles while contacts are other than they were made for: within 0.1 % of the change", () => {
		const contact = both.contact.map((z, e) => z * (0.8 + 0.03 * e));
		const change = Float64Array.from([0.6, 0.4, 0.8, 0.3, 0.1, 0.2], (value) => value * largest);
		const difference = (solve: typeof both.fast) => {
			const before = solve(both.rest, contact);
			return solve(change, contact).map((value, i) => value - before[i]!);
		};
		const fast = difference(both.fast);
		const whole = difference(both.whole);
		expect(distance(fast, whole)).toBeLessThan(1e-3 * Math.hypot(...whole));
	});
});
