import fc from "fast-check";
import { expect, test } from "vitest";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import type { OutlineShape, Point, RegionOutline } from "../../core/limb/limb.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { circlePoints } from "../../core/limb/region-shapes.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import { measureMesh, mislabelled, wrongElectrodes } from "./check-mesh.ts";
import { expectWellShaped, ringOfBands, ringOfStretches } from "./random-ring.ts";

const share = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const smoothShape = fc
	.tuple(share(0.04, 0.13), fc.array(share(0.88, 1), { minLength: 8, maxLength: 16 }))
	.map(
		([radius, bumps]): OutlineShape => ({
			type: "smooth",
			points: bumps.map((bump, i): Point => {
				const angle = (2 * Math.PI * i) / bumps.length;
				return [radius * bump * Math.cos(angle), radius * bump * Math.sin(angle)];
			}),
		}),
	);
const ovalShape = fc
	.tuple(share(0.04, 0.13), share(0.7, 1.4))
	.map(([b, ratio]): OutlineShape => ({ type: "ellipse", a: b * ratio, b }));

const bandOn = fc.record({
	electrodeCount: fc.integer({ min: 8, max: 40 }),
	cover: share(0.15, 0.85),
	firstAngle: share(-4, 4),
	direction: fc.constantFrom("anticlockwise" as const, "clockwise" as const),
});

test("any thigh meshes with no angle below 20°", () => {
	fc.assert(
		fc.property(
			fc.oneof(ovalShape, smoothShape),
			bandOn,
			fc.record({
				side: fc.constantFrom("left" as const, "right" as const),
				fat: share(0.05, 0.3),
				level: share(0, 1),
			}),
			(shape, { cover, ...band }, { fat, ...measures }) => {
				const outline = createOutline(shape);
				const fatThickness = fat * Math.sqrt(outline.area / Math.PI);
				const electrodeWidth = (cover * outline.circumference) / band.electrodeCount;
				const electrodes = placeElectrodes(outline, { ...band, electrodeWidth });
				const { regions } = createThigh({ outline: shape, fatThickness, ...measures });
				const mesh = meshLimb({ outline, electrodes, regions });
				const facts = measureMesh(mesh);
				expect(facts.leastAngle).toBeGreaterThanOrEqual(20);
				expect(facts.areaOf[0]).toBeUndefined();
				expect(facts.area / outline.area).toBeCloseTo(1, 2);
				expect(wrongElectrodes(mesh, facts.boundary, outline, electrodes)).toEqual([]);
			},
		),
		{ numRuns: 15 },
	);
});

test("any circles over each other, the skin or nothing mesh into their regions", () => {
	const circles = fc.array(fc.tuple(share(-1.1, 1.1), share(-1.1, 1.1), share(0.02, 0.6)), { maxLength: 5 });
	fc.assert(
		fc.property(fc.oneof(ovalShape, smoothShape), bandOn, circles, (shape, { cover, ...band }, chosen) => {
			const outline = createOutline(shape);
			const radius = Math.sqrt(outline.area / Math.PI);
			const electrodeWidth = (cover * outline.circumference) / band.electrodeCount;
			const electrodes = placeElectrodes(outline, { ...band, electrodeWidth });
			const regions = chosen.map(
				([x, y, r], i): RegionOutline => ({
					id: String(i),
					name: String(i),
					tissue: "muscle",
					points: circlePoints([x * radius, y * radius], r * radius, 256),
				}),
			);
			const mesh = meshLimb({ outline, electrodes, regions });
			const facts = measureMesh(mesh);
			expect(facts.area / outline.area).toBeCloseTo(1, 2);
			expect(mislabelled(mesh, regions, outline)).toEqual([]);
			expect(wrongElectrodes(mesh, facts.boundary, outline, electrodes)).toEqual([]);
		}),
		{ numRuns: 15 },
	);
});

test.each([
	["stretches of electrodes however near to each other", ringOfStretches],
	["several bands however turned", ringOfBands],
])("a thigh under %s meshes with no angle below 20°", (_, rings) => {
	fc.assert(
		fc.property(rings, share(0.05, 0.3), (ring, fat) => {
			const { regions } = createThigh({
				side: "right",
				outline: ring.outline.shape,
				fatThickness: fat * Math.sqrt(ring.outline.area / Math.PI),
				level: 0.5,
			});
			expectWellShaped(ring, 1000, regions);
		}),
		{ numRuns: 40 },
	);
});
