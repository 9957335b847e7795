import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { scenarioWords, words } from "../../renderer/text/words.ts";
import { contrastRatio, hexToRgb } from "./colour-science.ts";

const sheet = readFileSync(new URL("../../renderer/style/tokens.css", import.meta.url), "utf8");
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
