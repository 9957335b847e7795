import { describe, expect, test } from "vitest";
import { z } from "zod";
import { requestSchemas } from "../app/contract.ts";
import { libraryExerciseOf } from "../core/exercise/library.ts";
import { readAs, sentenceOf } from "../core/invalid-input.ts";

/** As it is told: path, what was wanted, what was found. */
function toldOf(schema: z.ZodType, input: unknown): string | null {
	const read = readAs<unknown>(schema, input);
	return read.ok ? null : sentenceOf(read.error);
}

const kinds = z.discriminatedUnion("kind", [
	z.object({ kind: z.literal("a") }),
	z.object({ kind: z.literal("b"), size: z.number() }),
]);

describe("what is wrong is told in plain words", () => {
	test.each<[string, z.ZodType, unknown, string]>([
		["no text", z.string(), 3, "expected a text, got 3"],
		["no number", z.number(), "3", 'expected a number, got "3"'],
		["not finite", z.number(), Number.NaN, "expected a number, got NaN"],
		["not whole", z.int(), 1.5, "expected a whole number, got 1.5"],
		["no truth", z.boolean(), 1, "expected true or false, got 1"],
		["no object", z.object({}), 1, "expected an object, got 1"],
		["missing", z.object({ name: z.string() }), {}, "name: expected a text, got nothing"],
		["no list", z.array(z.string()), {}, "expected a list, got an object"],
		["something for nothing", z.null(), 1, "expected nothing, got 1"],
		["too long", z.string().max(3), "long", 'expected at most 3 characters long, got "long"'],
		["too short", z.string().min(1), "", 'expected at least 1 character long, got ""'],
		["of another length", z.string().length(2), "abc", 'expected exactly 2 characters long, got "abc"'],
		["too many", z.array(z.number()).max(1), [1, 2], "expected a list of at most 1 entry, got a list of 2"],
		["too few", z.array(z.number()).min(2), [1], "expected a list of at least 2 entries, got a list of 1"],
		["too large", z.number().max(10), 11, "expected at most 10, got 11"],
		["too small", z.number().min(0), -1, "expected at least 0, got -1"],
		["not above", z.int().positive(), 0, "expected more than 0, got 0"],
		["not below", z.number().lt(1), 1, "expected less than 1, got 1"],
		["no multiple", z.number().multipleOf(2), 3, "expected a multiple of 2, got 3"],
		["another value", z.enum(["left", "right"]), "up", 'expected left or right, got "up"'],
		["another of one", z.literal("own"), "x", 'expected own, got "x"'],
		["another kind", kinds, { kind: "c" }, 'kind: expected a or b, got "c"'],
		["wrong within a kind", kinds, { kind: "b" }, "size: expected a number, got nothing"],
		["none of some", z.union([z.string(), z.number()]), true, "expected one of the allowed forms, got true"],
		["more than known", z.strictObject({}), { a: 1 }, "expected an object without “a”, got an object"],
		["another format", z.base64(), "%", 'expected bytes as base64 text, got "%"'],
		["refused", z.string().refine(() => false), "x", 'expected an allowed value, got "x"'],
		["own words", z.string("a code").min(1), 5, "expected a code, got 5"],
	])("%s", (_, schema, input, told) => {
		expect(toldOf(schema, input)).toBe(told);
	});

	/** How zod begins its own messages. */
	const zods = /(Invalid|Too (big|small)|Unrecognized|expected (string|number|int|object|array|null))/;

	const wrong = [
		null,
		7,
		"",
		"x",
		[],
		{},
		{ personId: -1 },
		{ personId: "1" },
		{ kind: "x" },
		{ command: "x" },
	];

	test.each(Object.entries(requestSchemas))("by the contract: %s", (_, schema) => {
		for (const input of wrong) expect(toldOf(schema, input) ?? "").not.toMatch(zods);
	});

	test("a text that is too long, as by the contract", () => {
		const told = toldOf(requestSchemas.startRecording, { title: "x".repeat(121) });
		expect(told).toMatch(/^title: expected at most 120 characters long, got "x/);
	});

	test("an own exercise must aim at muscles that there are", () => {
		const own = { ...libraryExerciseOf("quad-set")!, id: "own-one", origin: "own" };
		expect(toldOf(requestSchemas.saveExercise, { exercise: own })).toBeNull();
		const told = toldOf(requestSchemas.saveExercise, {
			exercise: { ...own, targetRegions: ["rectus-femoris", "biceps"] },
		});
		expect(told).toMatch(
			/^exercise\.targetRegions: expected muscles of the thigh, each one of rectus-femoris, /,
		);
		expect(told).not.toContain("femur");
	});
});
