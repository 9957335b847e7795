/** Polygon corners that lie closer to an electrode's end than the mesh tells apart once folded a refined triangle. The
 *  cases were found at random; a finer mesh of our own is what they are compared with. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { parseCase } from "../../core/physics/case.ts";
import { predictCase } from "../../core/physics/predict-case.ts";

test.each([0, 1, 2, 3])("a corner that the mesh cuts folds no triangle, case %i", (number) => {
	const file = join(import.meta.dirname, "data", `cut-corner-${number}.json`);
	const read = parseCase(JSON.parse(readFileSync(file, "utf8")));
	if (!read.ok) throw new Error(JSON.stringify(read.error));
	const coarse = predictCase(read.value);
	const fine = predictCase(read.value, { targetTriangles: 12_000 });
	if (!coarse.ok || !fine.ok) throw new Error("a case was refused");
	let difference = 0;
	let square = 0;
	for (const [i, value] of fine.value.entries()) {
		difference += (coarse.value[i]! - value) ** 2;
		square += value ** 2;
	}
	expect(Math.sqrt(difference / square)).toBeLessThan(0.005);
});
