import { describe, expect, test } from "vitest";
import { library } from "../../core/exercise/library.ts";
import { bandGuide, bandGuideNames } from "../../renderer/draw/band-guide.ts";
import {
	PICTOGRAM_HEIGHT,
	PICTOGRAM_WIDTH,
	pictogramNames,
	pictogramOf,
	type Stroke,
} from "../../renderer/draw/pictograms.ts";

const all: readonly (readonly [string, readonly Stroke[]])[] = [
	...pictogramNames.map((name) => [name, pictogramOf(name)] as const),
	...bandGuideNames.map((name) => [name, bandGuide[name]] as const),
];

/** End points of every command of path data, absolute; commands and their numbers as in SVG 2, "Paths". */
function pointsOf(d: string): [number, number][] {
	const counts: Record<string, number> = { M: 2, L: 2, H: 1, V: 1, C: 6, A: 7, Z: 0 };
	const points: [number, number][] = [];
	let [x, y] = [0, 0];
	for (const [, letter, rest] of d.matchAll(/([A-Za-z])([^A-Za-z]*)/g)) {
		const numbers = (rest!.match(/-?(?:\d+\.?\d*|\.\d+)/g) ?? []).map(Number);
		const kind = letter!.toUpperCase();
		const count = counts[kind];
		if (count === undefined) throw new RangeError(`unknown command ${letter}`);
		if (count === 0) continue;
		if (numbers.length === 0 || numbers.length % count !== 0) throw new RangeError(`${letter}${rest}`);
		for (let i = 0; i < numbers.length; i += count) {
			const isRelative = letter !== kind;
			const [dx, dy] = isRelative ? [x, y] : [0, 0];
			if (kind === "H") x = dx + numbers[i]!;
			else if (kind === "V") y = dy + numbers[i]!;
			else [x, y] = [dx + numbers[i + count - 2]!, dy + numbers[i + count - 1]!];
			points.push([x, y]);
		}
	}
	return points;
}

describe("drawings of our own", () => {
	test("every library exercise has one, and none is another's", () => {
		for (const { drawing } of library) expect(pictogramNames).toContain(drawing);
		const shapes = all.map(([, strokes]) => JSON.stringify(strokes));
		expect(new Set(shapes).size).toBe(shapes.length);
	});

	test("an unknown name and none give the general one", () => {
		expect(pictogramOf("no-such-drawing")).toBe(pictogramOf(null));
		expect(pictogramOf(null)).toBe(pictogramOf("general"));
	});

	test.each(all)("%s is whole path data inside its field", (_name, strokes) => {
		for (const { d } of strokes) {
			for (const [x, y] of pointsOf(d)) {
				expect(x).toBeGreaterThanOrEqual(0);
				expect(x).toBeLessThanOrEqual(PICTOGRAM_WIDTH);
				expect(y).toBeGreaterThanOrEqual(0);
				expect(y).toBeLessThanOrEqual(PICTOGRAM_HEIGHT);
			}
		}
	});

	test.each(pictogramNames)("%s shows one working thigh", (name) => {
		expect(pictogramOf(name).filter(({ part }) => part === "work")).toHaveLength(1);
	});
});
