import { describe, expect, test } from "vitest";
import { bandSetupSchema, limbSetupSchema } from "../../app/contract.ts";
import { angleFromFront } from "../../core/band/measured-band.ts";
import { fatUncertainty } from "../../core/limb/fat.ts";
import {
	fatChange,
	formFromSetUp,
	isRead,
	parseNumber,
	type ReadSetUp,
	readSetUpForm,
	type SetUpForm,
	withBands,
} from "../../renderer/set-up-form.ts";

function createForm(part: Partial<SetUpForm> = {}): SetUpForm {
	return {
		personId: 3,
		side: "left",
		shape: "round",
		circumference: "53",
		width: "18",
		depth: "16",
		points: "",
		fatSource: "unsaid",
		fat: "10",
		level: "45",
		bandName: "Thigh band",
		electrodeCount: "16",
		electrodeWidth: "12",
		firstElectrode: "0",
		direction: "anticlockwise",
		positions: null,
		bandCount: 1,
		places: [],
		...part,
	};
}

function read(form: SetUpForm): ReadSetUp {
	const result = readSetUpForm(form);
	if (!isRead(result)) throw new Error(JSON.stringify(result));
	return result;
}

function errorsOf(form: SetUpForm): readonly string[] {
	const result = readSetUpForm(form);
	return isRead(result) ? [] : Object.keys(result);
}

describe("fat is told as it was measured", () => {
	// A fold is two layers: 17 mm between the calipers are a layer of 8.5 mm.
	test("half of a skinfold is the layer, and the fold is what is shown again", () => {
		const form = createForm({ fatSource: "skinfold", fat: "17" });
		const { limb, band } = read(form).argument;
		expect(limb).toMatchObject({ fatThickness: 0.0085, fatSource: "skinfold" });
		expect(limbSetupSchema.parse(limb)).toEqual(limb);
		expect(formFromSetUp(3, limb, band)).toMatchObject({ fatSource: "skinfold", fat: "17" });
	});

	// Mechelli, JCSM Clin. Rep. 4(2): 10.4 ± 4.1 mm over the front of middle-aged thighs.
	test("what was not measured is the usual 10 mm, whatever stands in the field", () => {
		const { limb } = read(createForm({ fatSource: "assumed", fat: "nothing" })).argument;
		expect(limb).toMatchObject({ fatThickness: 0.01, fatSource: "assumed" });
		expect(Math.abs(0.0104 - limb.fatThickness)).toBeLessThan(0.0041);
		expect(fatUncertainty.assumed).toBeCloseTo(0.0041, 3);
	});

	test("another way of measuring keeps the thickness", () => {
		const fold = fatChange(createForm({ fatSource: "ultrasound", fat: "8.5" }), "skinfold");
		expect(fold).toEqual({ fatSource: "skinfold", fat: "17" });
		expect(fatChange(createForm(fold), "ultrasound")).toEqual({ fatSource: "ultrasound", fat: "8.5" });
		expect(fatChange(createForm(), "ultrasound").fat).toBe("10");
		expect(fatChange(createForm({ fat: "x" }), "skinfold").fat).toBe("x");
	});

	test("an older record that does not say stays without", () => {
		const { limb, band } = read(createForm()).argument;
		expect("fatSource" in limb).toBe(false);
		expect(formFromSetUp(null, limb, band).fatSource).toBe("unsaid");
	});

	test("a fold must be one", () => {
		expect(errorsOf(createForm({ fatSource: "skinfold", fat: "1" }))).toEqual(["fat"]);
		expect(errorsOf(createForm({ fatSource: "skinfold", fat: "121" }))).toEqual(["fat"]);
	});
});

describe("what is entered becomes metres", () => {
	test("a circumference of 53 cm is a circle of 8.435 cm radius (53 / 2π)", () => {
		const { argument, outline } = read(createForm());
		expect(argument.limb.outline).toMatchObject({ type: "circle" });
		expect(outline.circumference).toBeCloseTo(0.53, 6);
		expect(argument.limb.outline.type === "circle" && argument.limb.outline.radius).toBeCloseTo(0.08435, 5);
		expect(argument.limb.fatThickness).toBeCloseTo(0.01);
		expect(argument.limb.level).toBeCloseTo(0.45);
		expect(argument.band.electrodeWidth).toBeCloseTo(0.012);
	});

	test("an oval has the tape's circumference and the caliper's ratio", () => {
		const { argument, outline } = read(createForm({ shape: "oval" }));
		if (argument.limb.outline.type !== "ellipse") throw new Error("no ellipse");
		expect(argument.limb.outline.a / argument.limb.outline.b).toBeCloseTo(18 / 16);
		expect(outline.circumference).toBeCloseTo(0.53, 5);
	});

	test("measured points are moved so that the limb's origin lies among them", () => {
		const points = Array.from({ length: 12 }, (_, i) => {
			const angle = (2 * Math.PI * i) / 12;
			return `${(20 + 8 * Math.cos(angle)).toFixed(2)} ${(5 + 8 * Math.sin(angle)).toFixed(2)}`;
		}).join("\n");
		const { outline } = read(createForm({ shape: "points", points }));
		expect(outline.centroid[0]).toBeCloseTo(0, 3);
		expect(outline.centroid[1]).toBeCloseTo(0, 3);
		expect(outline.circumference).toBeCloseTo(2 * Math.PI * 0.08, 3);
	});

	test("what the form makes is what the contract takes", () => {
		for (const shape of ["round", "oval"] as const) {
			const { argument } = read(createForm({ shape }));
			expect(limbSetupSchema.safeParse(argument.limb).success).toBe(true);
			expect(bandSetupSchema.safeParse(argument.band).success).toBe(true);
		}
	});

	test.each([
		[0, 0, 1],
		[90, 1, 0],
		[-90, -1, 0],
		[180, 0, -1],
	])("electrode 1 at %d° from the front lies towards (%d, %d)", (degrees, x, y) => {
		expect(Math.cos(angleFromFront(degrees))).toBeCloseTo(x);
		expect(Math.sin(angleFromFront(degrees))).toBeCloseTo(y);
	});

	test("the first electrode's middle lies where it was said to", () => {
		const { outline, electrodes } = read(createForm({ firstElectrode: "90" }));
		const [x, y] = outline.pointAt((electrodes.start[0]! + electrodes.end[0]!) / 2);
		expect(x).toBeCloseTo(0.08435, 4);
		expect(y).toBeCloseTo(0, 6);
	});
});

describe("what cannot be", () => {
	test.each<[Partial<SetUpForm>, string]>([
		[{ circumference: "24.9" }, "circumference"],
		[{ circumference: "100.1" }, "circumference"],
		[{ circumference: "" }, "circumference"],
		[{ circumference: "fifty" }, "circumference"],
		[{ fat: "0.5" }, "fat"],
		[{ fat: "60", circumference: "30" }, "fat"],
		[{ level: "95" }, "level"],
		[{ electrodeCount: "7" }, "electrodeCount"],
		[{ electrodeCount: "65" }, "electrodeCount"],
		[{ electrodeCount: "12.5" }, "electrodeCount"],
		[{ electrodeCount: "64", electrodeWidth: "12" }, "electrodeWidth"],
		[{ firstElectrode: "181" }, "firstElectrode"],
		[{ bandName: "  " }, "bandName"],
		[{ shape: "oval", width: "4" }, "width"],
		[{ shape: "points", points: "1 2\n3 4" }, "points"],
		[{ shape: "points", points: "1 2\n3 4\n5 x\n1 1\n1 1\n1 1" }, "points"],
		[{ shape: "points", points: "0 0\n9 9\n9 0\n0 9\n5 20\n-5 -20" }, "points"],
	])("%j marks the field %s", (part, field) => {
		expect(errorsOf(createForm(part))).toEqual([field]);
	});

	test.each([
		["25", true],
		["34.9", true],
		["35", false],
		["75", false],
		["75.1", true],
		["100", true],
	])("%s cm around is asked about: %s", (circumference, isUnusual) => {
		expect(read(createForm({ circumference })).isUnusual).toBe(isUnusual);
	});
});

describe("where several bands sit", () => {
	const two = [
		{ above: "20", around: "52" },
		{ above: "15,2", around: "47.5" },
	];

	test("becomes metres, in the order of the bands", () => {
		expect(read(createForm({ bandCount: 2, places: two })).argument.places).toEqual([
			{ aboveKnee: 0.2, circumference: 0.52 },
			{ aboveKnee: 0.152, circumference: 0.475 },
		]);
	});

	test("may be left out as a whole, and is not asked for one band", () => {
		const none = { above: "", around: " " };
		expect(read(createForm({ bandCount: 2, places: [none, none] })).argument).not.toHaveProperty("places");
		expect(read(createForm()).argument).not.toHaveProperty("places");
	});

	test.each([
		["half of them", [two[0]!, { above: "15", around: "" }], "around 1"],
		["no number", [{ above: "x", around: "52" }, two[1]!], "above 0"],
		["beyond a thigh", [{ above: "61", around: "52" }, two[1]!], "above 0"],
		["too near, by the height of electrodes", [two[0]!, { above: "17.1", around: "48" }], "above 1"],
	])("%s: the field is named", (_, places, field) => {
		expect(errorsOf(createForm({ bandCount: 2, places }))).toEqual([field]);
	});

	test("comes back as it was entered; another number of bands keeps what there is", () => {
		const { argument } = read(createForm({ bandCount: 2, places: two }));
		const again = formFromSetUp(3, argument.limb, argument.band, argument.places);
		expect(again).toMatchObject({
			bandCount: 2,
			places: [
				{ above: "20", around: "52" },
				{ above: "15.2", around: "47.5" },
			],
		});
		expect(withBands(again, 3).places[1]).toEqual(again.places[1]);
		expect(withBands(again, 1)).toEqual({ bandCount: 1, places: [] });
		expect(withBands(again, 7).bandCount).toBe(4);
	});
});

test("a stored set-up goes through the form unchanged", () => {
	const form = createForm({ shape: "oval" });
	const { argument } = read(form);
	const again = formFromSetUp(3, argument.limb, argument.band);
	expect(again).toMatchObject({
		shape: "oval",
		circumference: "53",
		fat: "10",
		level: "45",
		electrodeWidth: "12",
	});
	const twice = read(again).argument;
	expect(twice.limb.outline).toEqual({
		type: "ellipse",
		a: expect.closeTo(argument.limb.outline.type === "ellipse" ? argument.limb.outline.a : 0, 4),
		b: expect.closeTo(argument.limb.outline.type === "ellipse" ? argument.limb.outline.b : 0, 4),
	});
});

test.each([
	["53", 53],
	[" 53,5 ", 53.5],
	["-2.", -2],
	[".5", 0.5],
	["\u22123", -3],
	["1e3", null],
	["5 3", null],
	["", null],
	["Infinity", null],
])("%j is read as %s", (entered, value) => {
	expect(parseNumber(entered)).toBe(value);
});
