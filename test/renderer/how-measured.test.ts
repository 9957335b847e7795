import { expect, test } from "vitest";
import { howMeasured } from "../../renderer/text/how-measured.ts";
import { createReview } from "./create-review.ts";

function factOf(name: string, change: (measured: ReturnType<typeof createReview>["measured"]) => object) {
	const review = createReview();
	const measured = { ...review.measured, ...change(review.measured) };
	return howMeasured({ ...review, measured })
		.find((fact) => fact.name === name)
		?.value.replaceAll("\u00a0", " ");
}

test("a strength says what chose it: the rule, or somebody's hand", () => {
	expect(factOf("Picture", () => ({}))).toContain("λ = 0.0210 by noise figure; noise figure 0.50");
	const byHand = factOf("Picture", ({ pictures }) => ({
		pictures: [{ ...pictures[0]!, lambda: 0.316, lambdaByHand: 0.316, rule: "gcv" }],
	}));
	expect(byHand).toContain("λ = 0.316 set by hand; noise figure 0.50");
});

test("movement is told where it was allowed for, and only there", () => {
	expect(factOf("Picture", () => ({}))).not.toContain("movement");
	const moved = ({ pictures }: ReturnType<typeof createReview>["measured"]) => ({
		pictures: [{ ...pictures[0]!, allowsMovement: true }],
	});
	expect(factOf("Picture", moved)).toContain("movement of the skin allowed for");
});

test.each([
	["ultrasound", "8 mm ± 1 mm, from ultrasound"],
	["skinfold", "8 mm ± 3 mm, from a skinfold"],
	["assumed", "8 mm ± 4 mm, assumed, not measured"],
	[undefined, "8 mm"],
] as const)("fat says how it is known: %s", (fatSource, expected) => {
	const value = factOf("Fat under the skin", ({ limb }) => ({ limb: { ...limb!, fatSource } }));
	expect(value).toBe(expected);
});
