import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { chapters } from "./registry.ts";
import { verificationTable } from "./table.ts";

// The checks themselves are measured by `npm run verification` and, one by one, by the tests beside their subjects.
test("the table lists every check with its source and tolerance, and none that fails", () => {
	const text = readFileSync(new URL("README.md", import.meta.url), "utf8");
	const results = new Map<string, number>();
	for (const line of text.split("\n")) {
		const cells = line.split(" | ");
		if (cells.length === 5) results.set(cells[0]!.slice(2), Number(cells[3]));
	}
	const checks = chapters.flatMap((chapter) => chapter.checks);
	for (const { what } of checks) expect(results.has(what), what).toBe(true);
	expect(new Set(checks.map(({ what }) => what)).size).toBe(checks.length);
	expect(verificationTable(({ what }) => results.get(what)!)).toBe(text);
	expect(text).not.toContain("**fails**");
});
