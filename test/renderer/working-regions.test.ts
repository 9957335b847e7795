import { expect, test } from "vitest";
import { createWorkingRegions } from "../../renderer/draw/working-regions.ts";

const RANGE = 0.05;

function createRegions(noise: readonly (number | null)[] = [1e-4, 1e-4, 1e-4]) {
	const regions = createWorkingRegions(noise);
	return {
		see: (...means: number[]) => regions.update(Float32Array.from(means), RANGE),
		shown: () => [...regions.isWorking],
	};
}

test("the region that changes most stands out, of either sign, and those that change nearly as much", () => {
	const { see, shown } = createRegions();
	expect(see(0.03, -0.02, 0.004)).toBe(true);
	expect(shown()).toEqual([1, 1, 0]);
	expect(see(0.03, -0.02, 0.004)).toBe(false);
});

test("at rest nothing stands out", () => {
	const { see, shown } = createRegions();
	expect(see(0.002, 0.001, -0.002)).toBe(false);
	see(0.03, 0, 0);
	see(0.001, 0.001, 0);
	expect(shown()).toEqual([0, 0, 0]);
});

test("names do not flicker about a limit", () => {
	const { see, shown } = createRegions();
	see(0.03, 0.019, 0);
	expect(shown()).toEqual([1, 1, 0]);
	expect(see(0.03, 0.014, 0)).toBe(false);
	expect(see(0.03, 0.011, 0)).toBe(true);
	expect(see(0.03, 0.014, 0)).toBe(false);
	expect(shown()).toEqual([1, 0, 0]);
});

test("what may be noise does not stand out, and a region without known noise may", () => {
	const { see, shown } = createRegions([0.01, null, 1e-4]);
	see(0.03, 0.02, 0);
	expect(shown()).toEqual([0, 1, 0]);
});
