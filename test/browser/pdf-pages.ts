/** What a printed PDF holds, read without a library. */
import { spawnSync } from "node:child_process";
import { expect } from "vitest";

/** From the page tree itself; sizes in points. */
export function pagesOf(pdf: Buffer): { count: number; boxes: (readonly [number, number])[] } {
	const raw = pdf.toString("latin1");
	const boxes = [...raw.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(
		(match) => [Number(match[1]), Number(match[2])] as const,
	);
	return { count: [...raw.matchAll(/\/Type \/Page\b(?!s)/g)].length, boxes };
}

/** By `pdftotext` where it is installed; else null. */
export function textOf(pdf: Buffer, pages: number): string | null {
	const run = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf });
	if (run.error !== undefined) return null;
	const text = run.stdout.toString("utf8");
	expect(text.split("\f").length - 1).toBe(pages);
	return text;
}
