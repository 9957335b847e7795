import { expect, test } from "vitest";
import { inventedWearer } from "../../app/link/simulated/invented-person.ts";
import { impossibleSetUp } from "../../app/session/possible-set-up.ts";

const usual = inventedWearer(16);
const circle = (radius: number) => ({ type: "circle", radius }) as const;
const samePoints = Array.from({ length: 6 }, () => [0.05, 0.05] as [number, number]);

test("what the invented person wears is possible", () => {
	expect(impossibleSetUp(usual)).toBeNull();
});

test.each([
	[
		"limb.outline",
		{ ...usual, limb: { ...usual.limb, outline: { type: "polygon" as const, points: samePoints } } },
	],
	["limb.fatThickness", { ...usual, limb: { ...usual.limb, fatThickness: 0.06, outline: circle(0.06) } }],
	["band", { ...usual, band: { ...usual.band, electrodeCount: 64, electrodeWidth: 0.06 } }],
])("numbers that are allowed one by one but not together are told at %s", (path, setUp) => {
	expect(impossibleSetUp(setUp)).toMatchObject({ kind: "invalid-argument", path });
});
