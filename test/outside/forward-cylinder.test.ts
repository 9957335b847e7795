/** Voltages in three dimensions against the published cylinder (`data/README.md`: FreeFEM 4.11, estimated error 3e-4). */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { predictFile } from "../../core/volume/predict-file.ts";
import { relativeError } from "./forward-cases.ts";

interface Reference {
	readonly voltages: readonly number[];
	readonly readings: { readonly rows: readonly (readonly number[])[] };
}

const reference = JSON.parse(
	readFileSync(new URL("data/cylinder-two-bands.json", import.meta.url), "utf8"),
) as Reference;

test("928 readings within and across two bands on a cylinder", () => {
	const predicted = predictFile(reference);
	if (!predicted.ok) throw new Error(JSON.stringify(predicted.error));
	const expected = Float64Array.from(reference.voltages);
	expect(relativeError(predicted.value, expected)).toBeLessThan(3e-4);
	for (const [i, value] of expected.entries())
		expect(Math.abs(predicted.value[i]! / value - 1)).toBeLessThan(2e-3);
});

test("the pattern of two bands lists them in the same order", () => {
	const { terminals } = createBandsPattern([16, 16], "adjacent");
	expect(Array.from(terminals)).toEqual(reference.readings.rows.flatMap((row) => row.slice(0, 4)));
});
