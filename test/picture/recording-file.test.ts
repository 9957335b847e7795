import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };

type Json = { [key: string]: unknown };

function createFile(): Json & { setup: Json; rests: Json; frames: { [id: string]: Json } } {
	return structuredClone(tank16) as unknown as ReturnType<typeof createFile>;
}

test("reads the reference tank: setup, rests, frames in order, targets", () => {
	const read = parseRecording(createFile());
	if (!read.ok) throw new Error(sentenceOf(read.error));
	const { setup, rests, frames } = read.value;
	expect(setup.band.electrodeCount).toBe(16);
	expect(Array.from(rests.keys())).toEqual(["1.0", "6.1"]);
	expect(frames.map(({ id }) => id)).toEqual(Object.keys(tank16.frames));
	expect(frames[0]!.voltages.length).toBe(208);
	expect(frames[0]!.targets[0]).toEqual({ kind: "resistive", center: [-0.0046, 0.0706] });
});

test("takes null for a reading that is missing, and frames without targets", () => {
	const file = createFile();
	(file.frames["1.1"]!.voltages as unknown[])[3] = null;
	delete file.frames["1.1"]!.targets;
	const read = parseRecording(file);
	if (!read.ok) throw new Error(sentenceOf(read.error));
	expect(read.value.frames[0]!.voltages[3]).toBeNaN();
	expect(read.value.frames[0]!.targets).toEqual([]);
});

test("keeps frames and rests whatever they are called", () => {
	const file = createFile();
	const { "1.1": frame, ...frames } = file.frames;
	const renamed = JSON.parse(
		JSON.stringify({
			...file,
			rests: { ...file.rests, other: file.rests["1.0"] },
			frames: { odd: frame, ...frames },
		})
			.replace('"odd":', '"__proto__":')
			.replace('"other":', '"constructor":'),
	) as unknown;
	const read = parseRecording(renamed);
	if (!read.ok) throw new Error(sentenceOf(read.error));
	expect(read.value.frames.map(({ id }) => id)).toContain("__proto__");
	expect(read.value.frames).toHaveLength(Object.keys(tank16.frames).length);
	expect(read.value.rests.has("constructor")).toBe(true);
});

test.each<[string, (file: ReturnType<typeof createFile>) => unknown, RegExp]>([
	["nothing", () => undefined, /^expected a recording.*, got nothing$/],
	["a list", () => [1], /^expected a recording.*, got a list of 1$/],
	["no setup", (f) => ({ ...f, setup: undefined }), /^setup: expected .*, got nothing$/],
	[
		"a bad setup",
		(f) => ({ ...f, setup: { ...f.setup, contactImpedance: -1 } }),
		/^setup\.contactImpedance: /,
	],
	["no rests", (f) => ({ ...f, rests: undefined }), /^rests: expected an object of frames at rest/],
	[
		"a short rest",
		(f) => ({ ...f, rests: { "1.0": [1, 2], "6.1": [] } }),
		/^rests\.1\.0: expected 208 readings/,
	],
	[
		"a text among readings",
		(f) => {
			(f.rests["1.0"] as unknown[])[7] = "1e-3";
			return f;
		},
		/^rests\.1\.0\[7\]: expected a number of volts, or null.*, got "1e-3"$/,
	],
	[
		"a reading beyond all bounds",
		(f) => {
			(f.frames["1.1"]!.voltages as unknown[])[0] = 1e300;
			return f;
		},
		/^frames\.1\.1\.voltages\[0\]: expected a number of volts/,
	],
	[
		"a rest that is not there",
		(f) => {
			f.frames["1.2"]!.rest = "9.9";
			return f;
		},
		/^frames\.1\.2\.rest: expected the name of one of the rests, got "9\.9"$/,
	],
	[
		"a short frame",
		(f) => {
			(f.frames["1.3"]!.voltages as unknown[]).pop();
			return f;
		},
		/^frames\.1\.3\.voltages: expected 208 readings, as the setup has, got a list of 207$/,
	],
	[
		"a target of another kind",
		(f) => {
			f.frames["1.1"]!.targets = [{ kind: "hot", center: [0, 0] }];
			return f;
		},
		/^frames\.1\.1\.targets\[0\]\.kind: expected "conductive" or "resistive", got "hot"$/,
	],
	["no frames", (f) => ({ ...f, frames: {} }), /^frames: expected at least one frame/],
])("says what is wrong with %s", (_, spoil, sentence) => {
	const read = parseRecording(spoil(createFile()));
	if (read.ok) throw new Error("was accepted");
	expect(sentenceOf(read.error)).toMatch(sentence);
});

test.each([
	["twice the same name", 0.03, "inner", /^setup\.regions\[1\]\.name: /],
	["a region wholly under a later one", 0.01, "hidden", /^setup\.regions\[0\]: .*regions\[1\]/],
])("refuses %s: its mean could not be told", (_, radius, name, sentence) => {
	const file = createFile();
	file.setup.regions = [
		{ name, center: [0, 0], radius, sigma: 0.1 },
		{ name: "inner", center: [0, 0.005], radius: 0.02, sigma: 0.2 },
	];
	const read = parseRecording(file);
	expect(read.ok).toBe(false);
	if (!read.ok) expect(sentenceOf(read.error)).toMatch(sentence);
});
