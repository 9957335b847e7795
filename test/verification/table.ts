import { type Check, chapters } from "./registry.ts";

/** The document as Markdown. @param resultOf what a check measured */
export function verificationTable(resultOf: (check: Check) => number): string {
	const parts = [
		"# Verification",
		"",
		"Every check of the software against something outside of it: a closed form, a published table, an independent",
		"solver, measured tanks. Written by `npm run verification` from `registry.ts`: do not edit.",
	];
	for (const { title, checks } of chapters) {
		parts.push("", `## ${title}`, "", "| What | Source | Tolerance | Result | |", "|---|---|---|---|---|");
		for (const check of checks) {
			const result = resultOf(check);
			parts.push(
				`| ${check.what} | ${check.source} | ${number(check.tolerance)} ${check.unit} | ${number(result)} | ${passes(check, result) ? "holds" : "**fails**"} |`,
			);
		}
	}
	return `${parts.join("\n")}\n`;
}

export function passes({ tolerance }: Check, result: number): boolean {
	return result <= tolerance;
}

/** Two digits: more would change with every rounding. */
function number(value: number): string {
	if (value === 0) return "0";
	return value < 0.01 ? value.toExponential(1) : String(Number(value.toPrecision(2)));
}
