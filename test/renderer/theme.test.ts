import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { scenarioWords, words } from "../../renderer/text/words.ts";
import { contrastRatio, hexToRgb, type Rgb } from "./colour-science.ts";

const sheet = readFileSync(new URL("../../renderer/style/tokens.css", import.meta.url), "utf8");
const coachSheet = readFileSync(new URL("../../renderer/style/coach.css", import.meta.url), "utf8");
const tokens = new Map(
	[...sheet.matchAll(/--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)/g)].map((match) => [
		match[1]!,
		{ light: hexToRgb(match[2]!), dark: hexToRgb(match[3]!) },
	]),
);

/** W3C, Web Content Accessibility Guidelines 2.2: 1.4.3 asks 4.5:1 for text, 1.4.11 asks 3:1 for what marks a control. */
describe.each(["light", "dark"] as const)("in the %s theme", (theme) => {
	test.each([
		["ink", "page", 4.5],
		["ink", "surface", 4.5],
		["ink", "inset", 4.5],
		["ink", "caution-soft", 4.5],
		["ink", "accent-soft", 4.5],
		["ink-soft", "page", 4.5],
		["ink-soft", "surface", 4.5],
		["ink-soft", "inset", 4.5],
		["accent", "page", 4.5],
		["accent", "surface", 4.5],
		["accent-strong", "accent-soft", 4.5],
		["on-accent", "accent", 4.5],
		["on-accent", "accent-strong", 4.5],
		["caution", "caution-soft", 4.5],
		["caution", "surface", 4.5],
		["caution", "page", 4.5],
		["edge", "surface", 3],
		["accent", "inset", 3],
	])("%s on %s reaches %d:1", (front, back, least) => {
		const colours = [tokens.get(front)?.[theme], tokens.get(back)?.[theme]] as const;
		expect(contrastRatio(colours[0]!, colours[1]!)).toBeGreaterThanOrEqual(least);
	});
});

/** What lies on the coach's gauge one over the other, with the opacities of its style sheet (`coach.css`). The same
 *  criteria: 3:1 for what must be told apart, and the pointer's rim against what hides the pointer itself. */
describe.each(["light", "dark"] as const)("on the coach's gauge in the %s theme", (theme) => {
	const colour = (name: string): Rgb => tokens.get(name)![theme];
	const over = (front: Rgb, opacity: number, back: Rgb): Rgb => [
		opacity * front[0] + (1 - opacity) * back[0],
		opacity * front[1] + (1 - opacity) * back[1],
		opacity * front[2] + (1 - opacity) * back[2],
	];
	const fill = over(colour("edge"), opacityOf("gauge-fill", "opacity"), colour("inset"));
	const aim = (back: Rgb): Rgb => over(colour("accent"), opacityOf("gauge-target", "fill-opacity"), back);

	test.each([
		["the pointer on the empty tube", "ink", colour("inset")],
		["the pointer on the fill", "ink", fill],
		["the pointer on the target", "ink", aim(fill)],
		["the pointer's rim on the target that is reached", "surface", colour("accent")],
		["the target's edge on the page", "accent", colour("surface")],
		["the target's edge on the empty tube", "accent", colour("inset")],
		["the word for the most so far on the fill", "ink", fill],
	] as const)("%s stands out", (_, front, back) => {
		expect(contrastRatio(colour(front), back)).toBeGreaterThanOrEqual(3);
	});
});

function opacityOf(selector: string, property: string): number {
	const rule = new RegExp(`\\n\\.${selector} \\{[^}]*?\\b${property}: ([\\d.]+);`).exec(coachSheet);
	if (rule === null) throw new RangeError(`no ${property} of ${selector}`);
	return Number(rule[1]);
}

test("no word on the screens claims what impedance does not show", () => {
	const texts: string[] = [];
	const collect = (value: unknown): void => {
		if (typeof value === "string") texts.push(value);
		else if (typeof value === "function") texts.push(String(value("", "", "", "")));
		else if (typeof value === "object" && value !== null) Object.values(value).forEach(collect);
	};
	collect([words, scenarioWords]);
	expect(texts.length).toBeGreaterThan(150);
	for (const text of texts) {
		expect(text).not.toMatch(/\b(EMG|force|forces|strength|strong|stronger|MVC|activation|diagnos\w*)\b/i);
	}
});
