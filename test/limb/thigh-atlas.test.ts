import { describe, expect, test } from "vitest";
import type { Limb, OutlineShape, Point } from "../../core/limb/limb.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { ellipseFromCircumference } from "../../core/limb/tape.ts";
import { createThigh, thighRegionIds } from "../../core/limb/thigh-atlas.ts";
import { contains, distanceTo, polygonArea } from "./polygons.ts";

const uneven: OutlineShape = {
	type: "smooth",
	points: [
		[0.09, 0.0],
		[0.075, 0.055],
		[0.03, 0.085],
		[-0.03, 0.08],
		[-0.075, 0.045],
		[-0.08, -0.01],
		[-0.06, -0.06],
		[0.0, -0.085],
		[0.06, -0.065],
	],
};
const limbs: [string, Limb][] = [
	["a round mid-thigh", { type: "circle", radius: 0.084 }, "left", 0.01, 0.5],
	["an oval thigh near the knee", ellipseFromCircumference(0.42, 1.1), "right", 0.008, 1 / 3],
	["an uneven thigh with little fat", uneven, "left", 0.003, 0.42],
	["a large thigh with much fat", ellipseFromCircumference(0.75, 1.05), "right", 0.035, 0.6],
].map(([name, outline, side, fatThickness, level]) => [
	name as string,
	createThigh({ outline, side, fatThickness, level } as Parameters<typeof createThigh>[0]),
]);

const deep = (limb: Limb) => limb.regions.slice(1);
const shareOf = (limb: Limb, ...ids: string[]) => {
	const muscles = deep(limb).filter(({ tissue }) => tissue === "muscle");
	const area = (chosen: typeof muscles) => chosen.reduce((sum, { points }) => sum + polygonArea(points), 0);
	return area(muscles.filter(({ id }) => ids.includes(id))) / area(muscles);
};

describe.each(limbs)("%s", (_, limb) => {
	test("has all regions, anticlockwise, fat first", () => {
		expect(limb.regions.map(({ id }) => id)).toEqual([...thighRegionIds]);
		for (const { points } of limb.regions) expect(polygonArea(points)).toBeGreaterThan(0);
	});

	test("has no place in two muscles, and none deep inside without a region", () => {
		const outline = createOutline(limb.outline);
		for (let i = 0; i < 60; i++) {
			for (let j = 0; j < 60; j++) {
				const x = -0.13 + (0.26 * (i + 0.37)) / 60;
				const y = -0.13 + (0.26 * (j + 0.61)) / 60;
				const holding = deep(limb).filter(({ points }) => contains(points, x, y));
				expect(holding.length).toBeLessThanOrEqual(1);
				const skin = limb.regions[0]!.points;
				const depth = outline.contains(x, y) ? distanceTo(skin, x, y) : -1;
				if (depth > 1.15 * limb.fatThickness + 1e-3) expect(holding).toHaveLength(1);
				if (depth < 0.99 * limb.fatThickness) expect(holding).toHaveLength(0);
			}
		}
	});

	test("shares its borders point by point", () => {
		const skin = limb.regions[0]!.points;
		for (const region of deep(limb)) {
			const others = deep(limb).filter((other) => other !== region);
			for (const [x, y] of region.points) {
				if (distanceTo(skin, x, y) < limb.fatThickness + 1e-3) continue;
				const isShared = others.some(({ points }) =>
					points.some(([u, v]) => Math.abs(u - x) + Math.abs(v - y) < 1e-12),
				);
				expect(isShared).toBe(true);
			}
		}
	});
});

test("left and right are mirror images", () => {
	const measures = { outline: { type: "circle", radius: 0.08 }, fatThickness: 0.009, level: 0.45 } as const;
	const left = createThigh({ side: "left", ...measures });
	const right = createThigh({ side: "right", ...measures });
	for (const [i, region] of deep(left).entries()) {
		const mirrored = deep(right)[i]!.points.map(([x, y]): Point => [-x, y]);
		for (const [x, y] of region.points) {
			const nearest = Math.min(...mirrored.map(([u, v]) => Math.hypot(u - x, v - y)));
			expect(nearest).toBeLessThan(1e-6);
		}
	}
});

test("lateral is +x on the left and -x on the right, and the rectus femoris lies in front", () => {
	for (const side of ["left", "right"] as const) {
		const limb = createThigh({
			side,
			outline: { type: "circle", radius: 0.08 },
			fatThickness: 0.01,
			level: 0.5,
		});
		const middle = (id: string): Point => {
			const { points } = limb.regions.find((region) => region.id === id)!;
			const mean = (axis: 0 | 1) => points.reduce((sum, p) => sum + p[axis], 0) / points.length;
			return [side === "left" ? mean(0) : -mean(0), mean(1)];
		};
		expect(middle("vastus-lateralis")[0]).toBeGreaterThan(0.02);
		expect(middle("vastus-medialis")[0]).toBeLessThan(-0.015);
		expect(middle("adductors")[0]).toBeLessThan(-0.015);
		expect(middle("rectus-femoris")[1]).toBeGreaterThan(0.04);
		expect(middle("hamstrings")[1]).toBeLessThan(-0.02);
		// The shaft lies a little lateral and in front of the centre (from memory of standard anatomy).
		expect(middle("femur")[0]).toBeGreaterThan(0);
		expect(middle("femur")[1]).toBeGreaterThan(0);
	}
});

describe("published sizes", () => {
	const at = (level: number) =>
		createThigh({ side: "left", outline: ellipseFromCircumference(0.53, 1.05), fatThickness: 0.01, level });
	const quadriceps = ["rectus-femoris", "vastus-lateralis", "vastus-medialis", "vastus-intermedius"];

	// Rigakuryohogaku 21(3), about 1994: about 50 % anywhere between 20 % and 80 % of thigh length above the knee.
	test.each([1 / 3, 0.4, 0.5])("the quadriceps is half of the muscle at level %d", (level) => {
		expect(shareOf(at(level), ...quadriceps)).toBeGreaterThan(0.47);
		expect(shareOf(at(level), ...quadriceps)).toBeLessThan(0.55);
	});

	// Ranges from memory, consistent with the same study.
	test.each([
		[1 / 2, "hamstrings", 0.2, 0.25],
		[1 / 2, "adductors", 0.25, 0.3],
		[1 / 3, "hamstrings", 0.3, 0.4],
		[1 / 3, "adductors", 0.1, 0.2],
	])("at level %d %s take their share", (level, id, least, most) => {
		expect(shareOf(at(level), id)).toBeGreaterThan(least);
		expect(shareOf(at(level), id)).toBeLessThan(most);
	});

	// Karakaş & Harma, Diagn Interv Radiol 14:29, 2008: 26.5 mm in men, 25.6 mm in women at mid-shaft.
	test.each([0.45, 0.53, 0.65])("the femur is as wide as measured, in a thigh of %d m", (circumference) => {
		const limb = createThigh({
			side: "left",
			outline: ellipseFromCircumference(circumference, 1.05),
			fatThickness: 0.01,
			level: 0.5,
		});
		const { points } = limb.regions.find(({ id }) => id === "femur")!;
		const width = Math.max(...points.map(([x]) => x)) - Math.min(...points.map(([x]) => x));
		expect(width).toBeGreaterThan(0.025);
		expect(width).toBeLessThan(0.028);
	});
});

test("beyond its two levels the nearer one stands", () => {
	const at = (level: number) =>
		createThigh({ side: "left", outline: { type: "circle", radius: 0.08 }, fatThickness: 0.01, level })
			.regions;
	expect(at(0.8)).toEqual(at(0.5));
	expect(at(0.1)).toEqual(at(1 / 3));
	expect(at(0.4)).not.toEqual(at(0.5));
});

test("refuses impossible layers and levels in a sentence", () => {
	const thigh = (fatThickness: number, level: number) => () =>
		createThigh({ side: "left", outline: { type: "circle", radius: 0.08 }, fatThickness, level });
	expect(thigh(0, 0.5)).toThrow(/fat layer must be a positive number/);
	expect(thigh(Number.NaN, 0.5)).toThrow(RangeError);
	expect(thigh(0.06, 0.5)).toThrow(/60.0 mm leaves too little room for muscle/);
	expect(thigh(0.01, 1.2)).toThrow(/level must be a share/);
});
