import {
	mkdtempSync,
	readdirSync,
	readFileSync,
	rmSync,
	statSync,
	truncateSync,
	utimesSync,
	writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { createKeptModels, keyOf } from "../../app/pipeline/kept-models.ts";
import { packArrays, unpackArrays } from "../../app/pipeline/packed-arrays.ts";

let folder: string;
beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-models-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function createModel(size = 100, first = 1) {
	return {
		name: "thigh",
		rows: Float32Array.from({ length: size }, (_, i) => first + i),
		inner: {
			z: new Float64Array([Math.PI, Number.NaN, Number.POSITIVE_INFINITY]),
			of: new Uint8Array([1, 2, 3]),
		},
		regions: [
			{ id: "a", trend: null },
			{ id: "b", trend: 0 },
		],
		odd: [Number.NaN, Number.NEGATIVE_INFINITY, -0.1],
	};
}

const key = keyOf({ limb: 1 }, "v1");
const other = keyOf({ limb: 2 }, "v1");
const fileOf = (of: string): string => join(folder, `${of}.model`);

describe("packed arrays", () => {
	test("come back as they were, bit by bit", () => {
		expect(unpackArrays(packArrays(createModel()))).toEqual(createModel());
		expect(unpackArrays(packArrays({ nothing: new Float64Array(0) }))).toEqual({
			nothing: new Float64Array(0),
		});
	});

	test("of a kind that has no place are refused", () => {
		expect(() => packArrays({ a: new BigInt64Array(1) })).toThrow(TypeError);
	});

	test("that were cut off are refused", () => {
		const bytes = packArrays(createModel());
		expect(() => unpackArrays(bytes.slice(0, -8))).toThrow(RangeError);
		expect(() => unpackArrays(bytes.slice(0, 20))).toThrow();
	});
});

describe("the key", () => {
	test("is the same for the same parts in another order, and another for every other part or version", () => {
		const terminals = Uint16Array.of(0, 1, 2, 3);
		const one = keyOf({ a: 1, b: { c: 2, d: terminals } }, "v1");
		expect(keyOf({ b: { d: Uint16Array.of(0, 1, 2, 3), c: 2 }, a: 1 }, "v1")).toBe(one);
		expect(keyOf({ a: 1, b: { c: 2, d: Uint16Array.of(0, 1, 3, 2) } }, "v1")).not.toBe(one);
		expect(keyOf({ a: 1.000001, b: { c: 2, d: terminals } }, "v1")).not.toBe(one);
		expect(keyOf({ a: 1, b: { c: 2, d: terminals } }, "v2")).not.toBe(one);
		expect(one).toMatch(/^[0-9a-f]{64}$/);
	});
});

describe("models on disk", () => {
	test("are found again, also by another start, and others are not", () => {
		expect(createKeptModels(folder).load(key)).toBeNull();
		expect(createKeptModels(folder).store(key, createModel())).toBe(true);
		expect(createKeptModels(folder).load(key)).toEqual(createModel());
		expect(createKeptModels(folder).load(other)).toBeNull();
		expect(createKeptModels(folder).load(keyOf({ limb: 1 }, "v2"))).toBeNull();
		expect(readdirSync(folder)).toEqual([`${key}.model`]);
	});

	test("a folder that is missing is made", () => {
		const deep = join(folder, "a", "b");
		expect(createKeptModels(deep).store(key, createModel())).toBe(true);
		expect(createKeptModels(deep).load(key)).toEqual(createModel());
	});

	test.each([
		["cut off", (path: string) => truncateSync(path, statSync(path).size - 40)],
		["cut off in its head", (path: string) => truncateSync(path, 50)],
		["empty", (path: string) => truncateSync(path, 0)],
		[
			"another program's",
			(path: string) => writeFileSync(path, "%PDF-1.7 and more than eighty bytes".repeat(9)),
		],
		[
			"changed in one bit",
			(path: string) => {
				const bytes = readFileSync(path);
				bytes[bytes.length - 9]! ^= 4;
				writeFileSync(path, bytes);
			},
		],
		[
			"of another key under this name",
			(path: string) => {
				createKeptModels(folder).store(other, createModel(10));
				writeFileSync(path, readFileSync(fileOf(other)));
			},
		],
		[
			"of another version of the format",
			(path: string) => {
				const bytes = readFileSync(path);
				bytes.write("tautline model 0");
				writeFileSync(path, bytes);
			},
		],
	])("a file that is %s counts as none, and is replaced", (_, damage) => {
		const kept = createKeptModels(folder);
		kept.store(key, createModel());
		damage(fileOf(key));
		expect(kept.load(key)).toBeNull();
		expect(kept.store(key, createModel(7))).toBe(true);
		expect(kept.load(key)).toEqual(createModel(7));
	});

	test("two that store the same at once leave one whole file", () => {
		const [one, two] = [createKeptModels(folder), createKeptModels(folder)];
		for (let i = 0; i < 5; i++) {
			one.store(key, createModel(1000, i));
			two.store(key, createModel(1000, i + 1));
			expect(one.load(key)).toEqual(createModel(1000, i + 1));
		}
		expect(readdirSync(folder)).toEqual([`${key}.model`]);
	});

	test("what was not used for longest goes first, the newest never, and other files are left alone", () => {
		const kept = createKeptModels(folder, 3000);
		writeFileSync(join(folder, "notes.txt"), "x".repeat(5000));
		const keys = [1, 2, 3].map((i) => keyOf({ i }, "v1"));
		for (const [i, each] of keys.entries()) {
			kept.store(each, { rows: new Float64Array(120) });
			const used = new Date(Date.UTC(2024, 0, 1 + i));
			if (i < 2) utimesSync(fileOf(each), used, used);
			if (i === 1) kept.load(keys[0]!);
		}
		expect(kept.load(keys[1]!)).toBeNull();
		expect(kept.load(keys[0]!)).not.toBeNull();
		kept.store(other, { rows: new Float64Array(5000) });
		expect(kept.load(other)).not.toBeNull();
		expect(new Set(readdirSync(folder))).toEqual(new Set([`${other}.model`, "notes.txt"]));
	});

	test("what a crash left half-written goes once it is old", () => {
		const left = join(folder, "left.writing");
		writeFileSync(left, "half");
		const kept = createKeptModels(folder);
		kept.store(key, createModel());
		expect(readdirSync(folder)).toContain("left.writing");
		utimesSync(left, new Date(2020, 0), new Date(2020, 0));
		kept.store(key, createModel());
		expect(readdirSync(folder)).toEqual([`${key}.model`]);
	});

	test("where nothing can be written, says so and goes on", () => {
		const file = join(folder, "file");
		writeFileSync(file, "");
		const kept = createKeptModels(file);
		expect(kept.store(key, createModel())).toBe(false);
		expect(kept.load(key)).toBeNull();
	});
});
