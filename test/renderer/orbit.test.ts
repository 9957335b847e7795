import { describe, expect, test } from "vitest";
import {
	cameraAxes,
	orbitAfterKey,
	standardOrbit,
	standardViews,
	startOrbit,
	turned,
} from "../../renderer/draw/orbit.ts";
import { volumeWords } from "../../renderer/text/volume-words.ts";

/** Directions in drawing axes: x to the person's right, y to the front, z to the hip. */
const left = [-1, 0, 0];
const front = [0, 1, 0];
const hip = [0, 0, 1];
const opposite = (direction: readonly number[]): number[] => direction.map((v) => 0 - v);
const close = (direction: readonly number[]): number[] =>
	direction.map((v) => expect.closeTo(v, 9) as number);

describe("fixed views", () => {
	test.each([
		["front", "left", front, left],
		["back", "left", opposite(front), opposite(left)],
		["lateral", "left", left, opposite(front)],
		["medial", "left", opposite(left), front],
		["lateral", "right", opposite(left), front],
		["medial", "right", left, opposite(front)],
	] as const)("%s of a %s thigh: the hip is up", (view, side, out, right) => {
		const axes = cameraAxes(standardOrbit(view, side));
		expect(axes.out).toEqual(close(out));
		expect(axes.right).toEqual(close(right));
		expect(axes.up).toEqual(close(hip));
	});

	test("from the foot everything lies as in a section: the front up, the person's left on the right", () => {
		const axes = cameraAxes(standardOrbit("foot", "right"));
		expect(axes.out).toEqual(close(opposite(hip)));
		expect(axes.up).toEqual(close(front));
		expect(axes.right).toEqual(close(left));
	});
});

test("the camera's axes are right-handed and of length one from everywhere", () => {
	for (const elevation of [-Math.PI / 2, -1, 0, 0.3, Math.PI / 2])
		for (const azimuth of [-3, -1, 0, 0.7, 2]) {
			const { right, up, out } = cameraAxes({ azimuth, elevation, distance: 1 });
			const cross = [
				right[1] * up[2] - right[2] * up[1],
				right[2] * up[0] - right[0] * up[2],
				right[0] * up[1] - right[1] * up[0],
			];
			expect(cross).toEqual(close(out));
			expect(Math.hypot(...right)).toBeCloseTo(1, 9);
		}
});

describe("keys", () => {
	const start = startOrbit("left");

	test("turn, zoom, go back, and choose the fixed views", () => {
		expect(orbitAfterKey(start, "ArrowRight", "left")!.azimuth).toBeGreaterThan(start.azimuth);
		expect(orbitAfterKey(start, "ArrowLeft", "left")!.azimuth).toBeLessThan(start.azimuth);
		expect(orbitAfterKey(start, "ArrowUp", "left")!.elevation).toBeGreaterThan(start.elevation);
		expect(orbitAfterKey(start, "ArrowDown", "left")!.elevation).toBeLessThan(start.elevation);
		expect(orbitAfterKey(start, "+", "left")!.distance).toBeLessThan(1);
		expect(orbitAfterKey(start, "-", "left")!.distance).toBeGreaterThan(1);
		expect(orbitAfterKey({ azimuth: 2, elevation: 1, distance: 2 }, "Home", "left")).toEqual(start);
		for (const [i, view] of standardViews.entries())
			expect(orbitAfterKey(start, String(i + 1), "left")).toEqual(standardOrbit(view, "left"));
	});

	test("of others do nothing", () => {
		for (const key of ["6", "0", "a", "Tab", "Enter"]) expect(orbitAfterKey(start, key, "left")).toBeNull();
	});
});

test("turning goes round and round, rising stops at foot and hip, zooming has ends", () => {
	let orbit = startOrbit("left");
	for (let i = 0; i < 1000; i++) orbit = turned(orbit, 0.3, 0.3, 0.9);
	expect(Math.abs(orbit.azimuth)).toBeLessThanOrEqual(Math.PI);
	expect(orbit.elevation).toBe(Math.PI / 2);
	expect(orbit.distance).toBe(0.35);
	expect(turned(orbit, 0, -9, 100)).toMatchObject({ elevation: -Math.PI / 2, distance: 2.5 });
});

test.each([
	[standardOrbit("front", "left"), "left", "front"],
	[standardOrbit("back", "left"), "left", "back"],
	[standardOrbit("lateral", "right"), "right", "lateral side"],
	[standardOrbit("medial", "right"), "right", "medial side"],
	[standardOrbit("foot", "left"), "left", "foot"],
	[startOrbit("right"), "right", "front, 26° to the lateral side, 26° from above"],
	[
		{ azimuth: -2.618, elevation: -0.175, distance: 1 },
		"left",
		"back, 30° to the medial side, 10° from below",
	],
	[{ azimuth: 0.175, elevation: 0, distance: 1 }, null, "front, 10° to the left side"],
] as const)("a view is told in words: %#", (orbit, side, words) => {
	expect(volumeWords.seenFrom(orbit, side)).toBe(`Seen from the ${words}`);
});
