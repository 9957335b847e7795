import type { z } from "zod";

/**
 * What a schema wants at a place, as words that go on after "should be" or "expected"; for schemas that have no words of
 * their own. Undefined leaves it to zod.
 */
export function plainExpectation(issue: z.core.$ZodRawIssue): string | undefined {
	switch (issue.code) {
		case "invalid_type":
			return kindWords[issue.expected as string] ?? `a value of the kind ${issue.expected}`;
		case "too_big":
			return limitWords(
				issue.origin,
				Number(issue.maximum),
				issue.exact ? "exactly" : issue.inclusive ? "at most" : "less than",
			);
		case "too_small":
			return limitWords(
				issue.origin,
				Number(issue.minimum),
				issue.exact ? "exactly" : issue.inclusive ? "at least" : "more than",
			);
		case "invalid_value":
			return oneOf(issue.values.map(String));
		case "invalid_format":
			return formatWords[issue.format] ?? "a text in another format";
		case "not_multiple_of":
			return `a multiple of ${issue.divisor}`;
		case "unrecognized_keys":
			return `an object without ${listOf(
				issue.keys.map((key) => `“${key}”`),
				"and",
			)}`;
		case "invalid_union":
			return Array.isArray(issue.options) ? oneOf(issue.options.map(String)) : "one of the allowed forms";
		case "invalid_key":
		case "invalid_element":
			return "one of the allowed forms";
		case "custom":
			return "an allowed value";
	}
}

const kindWords: Readonly<Record<string, string>> = {
	string: "a text",
	number: "a number",
	int: "a whole number",
	boolean: "true or false",
	object: "an object",
	array: "a list",
	tuple: "a list",
	record: "an object",
	null: "nothing",
	undefined: "nothing",
	never: "nothing",
};

const formatWords: Readonly<Record<string, string>> = {
	base64: "bytes as base64 text",
	datetime: "a date and time such as 2025-03-04T09:00:00+01:00",
	date: "a day such as 2025-03-04",
};

function limitWords(origin: string, limit: number, word: string): string {
	if (origin === "string") return `${word} ${limit} ${limit === 1 ? "character" : "characters"} long`;
	if (origin === "array" || origin === "set") {
		return `a list of ${word} ${limit} ${limit === 1 ? "entry" : "entries"}`;
	}
	return `${word} ${limit}`;
}

function oneOf(values: readonly string[]): string {
	return listOf(values, "or");
}

function listOf(values: readonly string[], joint: "and" | "or"): string {
	if (values.length < 2) return values[0] ?? "nothing";
	return `${values.slice(0, -1).join(", ")} ${joint} ${values.at(-1)}`;
}
