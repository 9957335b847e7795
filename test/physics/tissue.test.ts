import { describe, expect, test } from "vitest";
import { dielectricOf, type Tissue, tissues } from "../../core/physics/tissue.ts";

describe("tissue properties", () => {
	// "Electrical exposure analysis of galvanic-coupled intra-body communication…", BioMed. Eng. OnLine 2018,
	// s12938-018-0473-9, table 3: conductivity and relative permittivity as printed, compared to one unit of the last digit
	// (its authors rounded the time constants differently).
	test.each<[Tissue, number, string, string]>([
		["muscle", 10e3, "0.3408", "25909"],
		["muscle", 100e3, "0.3619", "8089.2"],
		["fat", 10e3, "0.0238", "1085.3"],
		["fat", 100e3, "0.0244", "92.885"],
		["bone", 10e3, "0.0204", "521.64"],
		["bone", 100e3, "0.0208", "227.64"],
		["skin-dry", 10e3, "0.00020", "1133.6"],
		["skin-dry", 100e3, "0.00045", "1119.2"],
		["skin-wet", 10e3, "0.0029", "29010"],
		["skin-wet", 100e3, "0.0658", "15357"],
	])("of %s at %d Hz are %s S/m and %s, as published", (tissue, hertz, conductivity, permittivity) => {
		const computed = dielectricOf(tissue, hertz);
		const lastDigit = (printed: string) => 10 ** -(printed.split(".")[1]?.length ?? 0);
		expect(Math.abs(computed.conductivity - Number(conductivity))).toBeLessThan(lastDigit(conductivity));
		expect(Math.abs(computed.permittivity - Number(permittivity))).toBeLessThan(lastDigit(permittivity));
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
