import { describe, expect, test } from "vitest";
import { dielectricOf, tissues } from "../../core/physics/tissue.ts";
import { lastDigitsOff, printedTissue } from "./printed-tissue.ts";

describe("tissue properties", () => {
	test.each(printedTissue)("of %s at %d Hz are %s S/m and %s, as published", (...row) => {
		for (const off of lastDigitsOff(row)) expect(off).toBeLessThan(1);
	});

	test("conduct better and hold less charge as the frequency rises (passive, causal media)", () => {
		for (const tissue of tissues) {
			let previous = dielectricOf(tissue, 10);
			for (let decade = 1.25; decade <= 9; decade += 0.25) {
				const here = dielectricOf(tissue, 10 ** decade);
				expect(here.conductivity).toBeGreaterThanOrEqual(previous.conductivity);
				expect(here.permittivity).toBeLessThanOrEqual(previous.permittivity);
				previous = here;
			}
		}
	});

	test("are refused where the model does not hold", () => {
		expect(() => dielectricOf("muscle", 0)).toThrow("10 Hz to 100 GHz");
		expect(() => dielectricOf("muscle", Number.NaN)).toThrow("10 Hz to 100 GHz");
	});
});
