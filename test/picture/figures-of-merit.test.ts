import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { figuresOfMerit, type PictureCells } from "../../core/picture/figures-of-merit.ts";
import { meritAlongRadius } from "../../core/picture/merit-along-radius.ts";
import { buildPictureModel } from "../../core/picture/picture-model.ts";
import { regionSights, sensitivityMap } from "../../core/picture/region-sight.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { WANTED_WITHIN, wantedMerit } from "../../core/picture/wanted-merit.ts";
import { createDiscSubject } from "./create-disc.ts";

/** Pixels of a 64 × 64 grid over the unit disc. */
function createGrid(value: (x: number, y: number) => number): PictureCells {
	const centres: number[] = [];
	const change: number[] = [];
	for (let i = 0; i < 64; i++) {
		for (let j = 0; j < 64; j++) {
			const [x, y] = [(2 * j + 1) / 64 - 1, (2 * i + 1) / 64 - 1];
			if (Math.hypot(x, y) > 1) continue;
			centres.push(x, y);
			change.push(value(x, y));
		}
	}
	return { centres, areas: change.map(() => (2 / 64) ** 2), change };
}

// Adler et al., Physiol. Meas. 30:S35, 2009 (definitions from memory). A disc of radius t in the unit disc has RES = t,
// PE = SD = RNG = 0; the numbers for pixels were computed apart from this project's code.
test("an ideal picture of a disc has the figures that the definitions give", () => {
	const disc = createGrid((x, y) => (Math.hypot(x - 0.5, y) <= 0.2 ? 1 : 0));
	expect(disc.areas.length).toBe(3228);
	const area = 124 * (2 / 64) ** 2;
	const figures = figuresOfMerit(disc, { centre: [0.5, 0], area, change: 1 }, [0, 0]);
	expect(figures.amplitude).toBeCloseTo(1, 12);
	expect(figures.positionError).toBeCloseTo(0, 3);
	expect(figures.resolution).toBeCloseTo(0.196, 4);
	expect(figures.shapeDeformation).toBeCloseTo(0.032, 3);
	expect(figures.ringing).toBe(0);
	const negative = { ...disc, change: Array.from(disc.change, (c) => -c) };
	expect(figuresOfMerit(negative, { centre: [0.5, 0], area, change: -1 }, [0, 0])).toEqual(figures);
});

test("a Gaussian blob of deviation s has RES = s·√(2 ln 4), rings not, and is pulled by as much as it is moved", () => {
	const blob = createGrid((x, y) => Math.exp(-((x - 0.3) ** 2 + y ** 2) / (2 * 0.1 ** 2)));
	const target = { centre: [0.4, 0], area: 0.01, change: 1 } as const;
	const figures = figuresOfMerit(blob, target, [0, 0]);
	expect(figures.resolution).toBeCloseTo(0.1665, 2);
	expect(figures.positionError).toBeCloseTo(0.1, 2);
	expect(figures.ringing).toBe(0);
});

const pattern = createPattern(16, "adjacent");

/*
 * What the consensus asks for, most important first: see `wantedMerit`, whose bounds are this project's. Here: 16
 * electrodes, adjacent drive.
 */
test("on a disc the figures are as even along the radius as the consensus asks for", () => {
	const subject = createDiscSubject();
	const options = {
		subject,
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		prior: "diagonal",
		rule: "noise-figure",
	} as const;
	const model = buildPictureModel({ ...options, values: "cells" });
	const merit = meritAlongRadius({ subject, pattern, model, angle: 0.2, places: 13 });
	const inner = Array.from(merit.place.keys()).filter((i) => merit.place[i]! <= WANTED_WITHIN);
	expect(inner.length).toBeGreaterThan(9);
	for (const i of inner) {
		for (const [name, [low, high]] of Object.entries(wantedMerit)) {
			const figure = merit[name as keyof typeof wantedMerit][i]!;
			expect(figure, name).toBeGreaterThanOrEqual(low);
			expect(figure, name).toBeLessThanOrEqual(high);
		}
	}
	const sizes = inner.map((i) => merit.resolution[i]!);
	expect(Math.max(...sizes) / Math.min(...sizes)).toBeLessThan(1.6);
	const nodes = buildPictureModel({ ...options, targetTriangles: 800 });
	expect(() => meritAlongRadius({ subject, pattern, model: nodes, angle: 0 })).toThrow(RangeError);
});

test("deep muscles under thick fat in noise are seen poorly, and said to be; superficial ones under thin fat well", () => {
	const sightsOf = (fatThickness: number, noise: number) => {
		const subject = limbSubject(
			createThigh({
				side: "left",
				outline: { type: "ellipse", a: 0.085, b: 0.08 },
				fatThickness,
				level: 0.5,
			}),
			{ electrodeCount: 16, electrodeWidth: 0.02, firstAngle: Math.PI / 2, direction: "clockwise" },
			50_000,
		);
		const readingNoise = new Float64Array(208).fill(noise);
		const model = buildPictureModel({
			subject,
			pattern,
			ohmMetrePerUnit: 1,
			noise: readingNoise,
			prior: "diagonal",
			rule: "noise-figure",
			targetTriangles: 2000,
		});
		const map = sensitivityMap(subject, pattern, model, readingNoise, 2000);
		return { sights: new Map(regionSights(subject, pattern, model).map((s) => [s.id, s])), map, model };
	};
	const thin = sightsOf(0.005, 2e-4);
	for (const sight of thin.sights.values()) expect(sight.verdict, sight.id).toBe("well");
	const thick = sightsOf(0.02, 1e-3);
	expect(thick.sights.get("vastus-intermedius")!.verdict).toBe("noise hides it");
	expect(thick.sights.get("vastus-intermedius")!.signalToNoise!).toBeLessThan(
		thick.sights.get("hamstrings")!.signalToNoise!,
	);

	// readings see the skin far better than the middle
	const { map, model } = thin;
	const { cellCentres: centres } = model.geometry;
	const meanWithin = (from: number, to: number) => {
		const cells = Array.from(map.keys()).filter((k) => {
			const r = Math.hypot(centres[2 * k]! / 0.085, centres[2 * k + 1]! / 0.08);
			return r >= from && r < to;
		});
		return cells.reduce((sum, k) => sum + map[k]!, 0) / cells.length;
	};
	expect(Math.max(...map)).toBe(1);
	expect(meanWithin(0.9, 1) / meanWithin(0.5, 0.6)).toBeGreaterThan(10);
	expect(meanWithin(0.5, 0.6)).toBeGreaterThan(meanWithin(0, 0.1));
});
