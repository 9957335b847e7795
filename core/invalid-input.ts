import type { z } from "zod";
import { plainExpectation } from "./plain-expectation.ts";
import { failure, type Result, success } from "./result.ts";

/** What is wrong with data from outside: where, what was wanted there, what was found. */
export interface InvalidInput {
	/** Such as `regions[2].sigma`; empty for the whole. */
	readonly path: string;
	readonly expected: string;
	readonly got: string;
}

/** One sentence for people: `regions[2].sigma: expected a positive number, got -1`. */
export function sentenceOf({ path, expected, got }: InvalidInput): string {
	return `${path === "" ? "" : `${path}: `}expected ${expected}, got ${got}`;
}

export function invalid(path: string, expected: string, got: unknown) {
	return failure<InvalidInput>({ path, expected, got: typeof got === "string" ? got : brief(got) });
}

/**
 * Reads data from outside with a schema whose messages say what is expected (`z.number("a number of metres")`; where they
 * do not, `plainExpectation` says it), and tells the first thing that is wrong.
 */
export function readAs<T>(schema: z.ZodType<T>, input: unknown): Result<T, InvalidInput> {
	const read = schema.safeParse(input, { error: plainExpectation });
	if (read.success) return success(read.data);
	let issue = read.error.issues[0]!;
	const path = [...issue.path];
	// of several allowed forms, explain the one that the input came closest to
	while (issue.code === "invalid_union") {
		const closest = issue.errors.flat().sort((a, b) => b.path.length - a.path.length)[0];
		if (closest === undefined || closest.path.length === 0) break;
		issue = closest;
		path.push(...issue.path);
	}
	let got = input;
	for (const step of path) got = (got as Record<PropertyKey, unknown> | undefined)?.[step];
	return invalid(pathText(path), issue.message, brief(got));
}

function pathText(path: readonly PropertyKey[]): string {
	return path
		.map((step, i) => (typeof step === "number" ? `[${step}]` : i === 0 ? String(step) : `.${String(step)}`))
		.join("");
}

function brief(value: unknown): string {
	if (value === undefined) return "nothing";
	if (Array.isArray(value)) return `a list of ${value.length}`;
	if (typeof value === "object" && value !== null) return "an object";
	const text = typeof value === "string" ? JSON.stringify(value) : String(value);
	return text.length <= 60 ? text : `${text.slice(0, 57)}…`;
}
