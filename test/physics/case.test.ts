import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseCase, parseSetup } from "../../core/physics/case.ts";
import { predictCase } from "../../core/physics/predict-case.ts";

const createCase = () => ({
	name: "good",
	dimension: 2,
	outline: { type: "circle", radius: 0.08 } as object,
	electrodes: { count: 16, width: 0.01, firstAngleDeg: 0 } as Record<string, unknown>,
	contactImpedance: 0.005 as unknown,
	background: { sigma: 0.35 } as object | undefined,
	regions: [{ shape: "circle", center: [0.03, 0.02], radius: 0.02, sigma: 0.7 }] as unknown,
	drive: "adjacent" as unknown,
	current: 1 as unknown,
});

const refusal = (input: unknown): string => {
	const read = parseCase(input);
	return read.ok ? "accepted" : sentenceOf(read.error);
};

const readings = (rows: unknown, columns: unknown = ["source", "sink", "plus", "minus"]) => {
	const { drive: _, ...rest } = createCase();
	return { ...rest, readings: { columns, rows } };
};

describe("reading a case", () => {
	test("takes outline, electrodes, contacts, regions and readings as the format says", () => {
		const read = parseCase({ ...createCase(), measure: "words", reference: {}, voltages: [1] });
		expect(read.ok).toBe(true);
		if (!read.ok) return;
		const { pattern, current, contactImpedance, regions, electrodes, outline } = read.value;
		expect(pattern.terminals.length / 4).toBe(16 * 13);
		expect([...pattern.terminals.subarray(0, 8)]).toEqual([0, 1, 2, 3, 0, 1, 3, 4]);
		expect([...pattern.terminals.subarray(4 * 207)]).toEqual([15, 0, 13, 14]);
		expect(current).toEqual(new Float64Array(208).fill(1));
		expect(contactImpedance).toEqual(new Float64Array(16).fill(0.005));
		expect(regions).toEqual([{ name: null, center: [0.03, 0.02], radius: 0.02, sigma: 0.7 }]);
		expect(outline.pointAt(electrodes.start[1]! + 0.005)[1]).toBeCloseTo(0.08 * Math.sin(Math.PI / 8), 7);
	});

	test("takes a region for a circle where no shape is said", () => {
		const region = { center: [0.03, 0.02], radius: 0.02, sigma: 0.7 };
		const read = parseCase({ ...createCase(), regions: [region] });
		expect(read.ok && read.value.regions).toEqual([{ name: null, ...region }]);
	});

	test("leaves the background open for a measured setup only", () => {
		const setup = { ...createCase(), background: undefined };
		const read = parseSetup(setup);
		expect(read.ok && read.value.backgroundSigma).toBe(null);
		expect(refusal(setup)).toBe(
			"background.sigma: expected a conductivity from 1e-9 to 1e6 S/m, got nothing",
		);
	});

	test.each<[string, unknown, string]>([
		["nothing", null, "expected a case: an object with dimension, outline, electrodes and so on, got null"],
		[
			"a list",
			[],
			"expected a case: an object with dimension, outline, electrodes and so on, got a list of 0",
		],
		[
			"three dimensions",
			{ ...createCase(), dimension: 3 },
			"dimension: expected 2 (or, for predict, 3), got 3",
		],
		[
			"no outline",
			{ ...createCase(), outline: undefined },
			'outline: expected "circle", "ellipse" or "polygon", got nothing',
		],
		[
			"a square outline",
			{ ...createCase(), outline: { type: "square" } },
			'outline.type: expected "circle", "ellipse" or "polygon", got "square"',
		],
		[
			"a radius of 1e9 m",
			{ ...createCase(), outline: { type: "circle", radius: 1e9 } },
			"outline.radius: expected a number of metres from 0.001 to 10, got 1000000000",
		],
		[
			"a radius that is no number",
			{ ...createCase(), outline: { type: "circle", radius: Number.NaN } },
			"outline.radius: expected a number of metres from 0.001 to 10, got NaN",
		],
		[
			"a flat ellipse",
			{ ...createCase(), outline: { type: "ellipse", a: 0.1, b: 0 } },
			"outline.b: expected a number of metres from 0.001 to 10, got 0",
		],
		[
			"two points",
			{
				...createCase(),
				outline: {
					type: "polygon",
					points: [
						[0, 0],
						[1, 0],
					],
				},
			},
			"outline.points: expected at least 3 points, got a list of 2",
		],
		[
			"half a point",
			{ ...createCase(), outline: { type: "polygon", points: [[0.1, 0.1], [-0.1], [0, -0.1]] } },
			"outline.points[1]: expected a pair of numbers [x, y] in metres, got a list of 1",
		],
		[
			"an outline that crosses itself",
			{
				...createCase(),
				outline: {
					type: "polygon",
					points: [
						[-0.1, -0.1],
						[0.1, 0.1],
						[0.1, -0.1],
						[-0.1, 0.12],
					],
				},
			},
			"outline: expected a closed line around the origin that does not cross itself, got",
		],
		[
			"a million electrodes",
			{ ...createCase(), electrodes: { count: 1e6, width: 0.01, firstAngleDeg: 0 } },
			"electrodes.count: expected a whole number from 8 to 64, got 1000000",
		],
		[
			"half an electrode",
			{ ...createCase(), electrodes: { count: 8.5, width: 0.01, firstAngleDeg: 0 } },
			"electrodes.count: expected a whole number from 8 to 64, got 8.5",
		],
		[
			"electrodes that overlap",
			{ ...createCase(), electrodes: { count: 16, width: 0.04, firstAngleDeg: 0 } },
			"electrodes: expected electrodes that fit on the outline side by side, got",
		],
		[
			"a direction of its own",
			{ ...createCase(), electrodes: { count: 16, width: 0.01, firstAngleDeg: 0, direction: "left" } },
			'electrodes.direction: expected "anticlockwise" or "clockwise", got "left"',
		],
		[
			"no contact",
			{ ...createCase(), contactImpedance: 0 },
			"contactImpedance: expected a contact impedance from 1e-9 to 1e3 ohm·m², got 0",
		],
		[
			"too few contacts",
			{ ...createCase(), contactImpedance: [0.01, 0.01] },
			"contactImpedance: expected 16 values, one per electrode, got a list of 2",
		],
		[
			"one bad contact",
			{ ...createCase(), contactImpedance: [0.01, -1] },
			"contactImpedance[1]: expected a contact impedance from 1e-9 to 1e3 ohm·m², got -1",
		],
		[
			"a negative conductivity",
			{ ...createCase(), background: { sigma: -0.35 } },
			"background.sigma: expected a conductivity from 1e-9 to 1e6 S/m, got -0.35",
		],
		[
			"a square region",
			{ ...createCase(), regions: [{ shape: "square" }] },
			'regions[0].shape: expected "circle", got "square"',
		],
		[
			"a region without size",
			{ ...createCase(), regions: [{ shape: "circle", center: [0, 0], radius: 0, sigma: 1 }] },
			"regions[0].radius: expected a number of metres from 0.000001 to 10, got 0",
		],
		[
			"a region outside",
			{ ...createCase(), regions: [{ shape: "circle", center: [0.2, 0], radius: 0.05, sigma: 1 }] },
			"regions[0]: expected a circle that lies at least partly inside the outline, got one outside",
		],
		[
			"regions that are no list",
			{ ...createCase(), regions: {} },
			"regions: expected a list of regions, got an object",
		],
		[
			"an unknown drive",
			{ ...createCase(), drive: "random" },
			'drive: expected "adjacent", "opposite" or "skip-N", got "random"',
		],
		[
			"a drive that does not fit",
			{ ...createCase(), drive: "skip-20" },
			"drive: expected a drive that this many electrodes allow, got",
		],
		[
			"no drive",
			{ ...createCase(), drive: undefined },
			'drive: expected "adjacent", "opposite" or "skip-N", or readings instead, got nothing',
		],
		[
			"no current",
			{ ...createCase(), current: undefined },
			"current: expected a current in A, not 0, got nothing",
		],
		["a current of 0", { ...createCase(), current: 0 }, "current: expected a current in A, not 0, got 0"],
		[
			"a missing column",
			readings([[0, 1, 2]], ["source", "sink", "plus"]),
			'readings.columns: expected a column "minus", got source, sink, plus',
		],
		[
			"a column twice",
			readings([[0, 1, 2, 3]], ["source", "sink", "plus", "plus"]),
			"readings.columns: expected each column once, got source, sink, plus, plus",
		],
		[
			"an unknown column",
			readings([[0]], ["time"]),
			'readings.columns[0]: expected a list of "source", "sink", "plus", "minus" and, unless the case has one, "current", got "time"',
		],
		["no rows", readings([]), "readings.rows: expected at least 1 row, got a list of 0"],
		[
			"a short row",
			readings([
				[0, 1, 2, 3],
				[0, 1],
			]),
			"readings.rows[1]: expected 4 numbers, one per column, got a list of 2",
		],
		["a word in a row", readings([[0, 1, 2, "x"]]), 'readings.rows[0][3]: expected a number, got "x"'],
		[
			"an electrode that is not there",
			readings([[0, 1, 2, 16]]),
			"readings.rows: expected rows that name electrodes of the case, got",
		],
	])("refuses %s with one sentence", (_, input, sentence) => {
		expect(refusal(input)).toContain(sentence);
		expect(refusal(input)).not.toContain("\n");
	});

	test("any JSON is read or refused, never thrown on", () => {
		fc.assert(
			fc.property(fc.jsonValue(), (value) => {
				expect(typeof refusal(value)).toBe("string");
			}),
			{ seed: 5, numRuns: 300 },
		);
	});

	test("any change of one field gives voltages or one sentence", () => {
		const keys = [
			"outline",
			"electrodes",
			"contactImpedance",
			"background",
			"regions",
			"drive",
			"current",
		] as const;
		const odd = fc.oneof(
			fc.jsonValue(),
			fc.double(),
			fc.record({
				type: fc.constant("ellipse"),
				a: fc.double({ min: 0, max: 0.2 }),
				b: fc.double({ min: 0, max: 0.2 }),
			}),
			fc.array(
				fc.record({
					shape: fc.constant("circle"),
					center: fc.tuple(fc.double({ min: -0.1, max: 0.1 }), fc.double({ min: -0.1, max: 0.1 })),
					radius: fc.double({ min: 0, max: 0.1 }),
					sigma: fc.double({ min: 0, max: 10 }),
				}),
				{ maxLength: 3 },
			),
		);
		fc.assert(
			fc.property(fc.constantFrom(...keys), odd, (key, value) => {
				const read = parseCase({ ...createCase(), [key]: value });
				if (!read.ok) {
					expect(sentenceOf(read.error)).not.toContain("\n");
					return;
				}
				const voltages = predictCase(read.value);
				if (voltages.ok) expect(voltages.value.every(Number.isFinite)).toBe(true);
				else expect(sentenceOf(voltages.error)).not.toContain("\n");
			}),
			{ seed: 6, numRuns: 50 },
		);
	});
});
