import { expect, test } from "vitest";
import { changesMost } from "../../renderer/text/changes-most.ts";

test("names regions by the size of their change, either sign, above three times the noise at rest", () => {
	expect(changesMost([0.01, -0.03, null, 0.002, 0.02], [0.001, 0.001, 0.001, 0.001, 0.01])).toEqual([
		{ trend: 1, change: -0.03 },
		{ trend: 0, change: 0.01 },
	]);
});

test("names none while all is still, and takes every change where the noise is not known", () => {
	expect(changesMost([0.001, -0.001], [0.001, 0.001])).toEqual([]);
	expect(changesMost([0.001], [])).toEqual([{ trend: 0, change: 0.001 }]);
});
