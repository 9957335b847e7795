import { schemePuOr } from "d3-scale-chromatic";
import { describe, expect, test } from "vitest";
import { createColourRamp, RAMP_LENGTH } from "../../renderer/draw/colour-ramp.ts";
import { regionInk, regionInks } from "../../renderer/draw/region-colour.ts";
import { contrastRatio, distanceLab, hexToRgb, type Rgb, simulateVision } from "./colour-science.ts";

function rgbAt(colours: Uint32Array, index: number): Rgb {
	const bytes = new Uint8Array(colours.buffer, 4 * index, 4);
	expect(bytes[3]).toBe(255);
	return [bytes[0]!, bytes[1]!, bytes[2]!];
}

describe("the scale of change", () => {
	const { colours, at } = createColourRamp("change");

	test("runs between the ends of the published 11-class scheme (ColorBrewer PuOr, as d3 carries it)", () => {
		const scheme = schemePuOr[11]!.map((hex) => hexToRgb(hex));
		// d3 smooths between the classes with a spline that starts and ends on the outer ones.
		expect(rgbAt(colours, RAMP_LENGTH - 1)).toEqual(scheme[10]);
		expect(rgbAt(colours, 0)).toEqual(scheme[0]);
	});

	test("is symmetric in lightness about a light, nearly grey zero", () => {
		const [red, green, blue] = rgbAt(colours, (RAMP_LENGTH - 1) / 2);
		expect(Math.min(red, green, blue)).toBeGreaterThan(230);
		expect(Math.max(red, green, blue) - Math.min(red, green, blue)).toBeLessThan(12);
		for (const step of [0.25, 0.5, 0.75, 1]) {
			const offset = Math.round((step * (RAMP_LENGTH - 1)) / 2);
			const middle = (RAMP_LENGTH - 1) / 2;
			const up = contrastRatio(rgbAt(colours, middle + offset), [255, 255, 255]);
			const down = contrastRatio(rgbAt(colours, middle - offset), [255, 255, 255]);
			expect(up / down).toBeGreaterThan(0.45);
			expect(up / down).toBeLessThan(1.5);
		}
	});

	test("tells the two signs apart with every kind of colour vision", () => {
		const more = rgbAt(colours, Math.round(0.85 * RAMP_LENGTH));
		const less = rgbAt(colours, Math.round(0.15 * RAMP_LENGTH));
		for (const kind of ["normal", "protan", "deutan", "tritan"] as const) {
			expect(distanceLab(simulateVision(more, kind), simulateVision(less, kind))).toBeGreaterThan(25);
		}
	});

	test("clamps beyond its ends", () => {
		expect(at(3)).toBe(at(1));
		expect(at(-3)).toBe(at(-1));
	});
});

describe("the scale of size", () => {
	const { colours } = createColourRamp("size");

	test("is the same for both signs and grows lighter all the way", () => {
		const middle = (RAMP_LENGTH - 1) / 2;
		let last = 0;
		for (let step = 0; step <= middle; step++) {
			const up = rgbAt(colours, middle + step);
			expect(rgbAt(colours, middle - step)).toEqual(up);
			const lightness = contrastRatio(up, [0, 0, 0]);
			expect(lightness).toBeGreaterThan(last - 0.02);
			last = lightness;
		}
	});

	test("has cividis's published ends (Nuñez, Anderton & Renslow 2018: dark blue to yellow)", () => {
		const [darkRed, , darkBlue] = rgbAt(colours, (RAMP_LENGTH - 1) / 2);
		expect(darkBlue).toBeGreaterThan(darkRed + 40);
		const [red, green, blue] = rgbAt(colours, RAMP_LENGTH - 1);
		expect(red).toBeGreaterThan(240);
		expect(green).toBeGreaterThan(220);
		expect(blue).toBeLessThan(90);
	});
});

describe("region colours", () => {
	const surfaces = { onLight: hexToRgb("#ffffff"), onDark: hexToRgb("#172126") };

	test.each(regionInks.map((ink, i) => [i, ink] as const))(
		"%i stands out from what it is drawn on",
		(_, ink) => {
			// WCAG 2.2, success criterion 1.4.11: at least 3:1 for graphical objects.
			expect(contrastRatio(hexToRgb(ink.onLight), surfaces.onLight)).toBeGreaterThanOrEqual(3);
			expect(contrastRatio(hexToRgb(ink.onDark), surfaces.onDark)).toBeGreaterThanOrEqual(3);
		},
	);

	test.each(["onLight", "onDark"] as const)(
		"the first six differ %s with every kind of colour vision, or else by their dash",
		(tone) => {
			for (let a = 0; a < 6; a++) {
				for (let b = a + 1; b < 6; b++) {
					const [first, second] = [regionInk(a), regionInk(b)];
					if (first.dash.join() !== second.dash.join()) continue;
					for (const kind of ["normal", "protan", "deutan", "tritan"] as const) {
						const distance = distanceLab(
							simulateVision(hexToRgb(first[tone]), kind),
							simulateVision(hexToRgb(second[tone]), kind),
						);
						// About ten just noticeable differences (CIE 1976, one is about 2.3: Mahy et al., Color Res. Appl. 19:105, 1994).
						expect(distance, `${a} and ${b}, ${kind}`).toBeGreaterThan(20);
					}
				}
			}
		},
	);
});
