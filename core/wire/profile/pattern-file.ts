import { type InvalidInput, invalid } from "../../invalid-input.ts";
import { type Result, success } from "../../result.ts";
import { mostElectrodes, mostReadings } from "../limits.ts";

export interface ImportedPattern {
	/** Source, sink, plus, minus electrode of each reading, from 0. */
	readonly rows: [number, number, number, number][];
	/** 1 when the file counts electrodes from 1. */
	readonly countsFrom: 0 | 1;
}

/**
 * Reads the order of readings from a text file: a line for each reading, with its source, sink, plus and minus
 * electrode, or with two electrodes that are both driven and read. Any of blanks, commas and semicolons part the
 * numbers; lines that begin with # and a heading of words are skipped. Electrodes are counted from 0 or from 1: a file
 * that never names 0 counts from 1, unless it then names more electrodes than there are.
 */
export function readPatternFile(text: string, electrodeCount: number): Result<ImportedPattern, InvalidInput> {
	const rows: number[][] = [];
	let width = 0;
	for (const [i, line] of text.split(/\r\n|\r|\n/).entries()) {
		const fields = line
			.trim()
			.split(/\s*[,;\t ]\s*/)
			.filter((field) => field !== "");
		if (fields.length === 0 || line.trimStart().startsWith("#")) continue;
		const numbers = fields.map((field) => (/^\d{1,4}$/.test(field) ? Number(field) : Number.NaN));
		if (rows.length === 0 && numbers.every(Number.isNaN)) continue;
		const path = `line ${i + 1}`;
		if (numbers.some(Number.isNaN) || (numbers.length !== 4 && numbers.length !== 2)) {
			return invalid(
				path,
				"four electrodes (source, sink, plus, minus), or two for both",
				line.trim().slice(0, 60),
			);
		}
		if (width === 0) width = numbers.length;
		if (numbers.length !== width)
			return invalid(path, `${width} electrodes, as in the lines before`, numbers.length);
		rows.push(numbers);
		if (rows.length > mostReadings) return invalid(path, `at most ${mostReadings} readings`, "more");
	}
	if (rows.length === 0) return invalid("", "a line for each reading", "none");
	const all = rows.flat();
	const least = Math.min(...all);
	const most = Math.max(...all);
	const countsFrom = least >= 1 && most <= electrodeCount ? 1 : 0;
	if (most - countsFrom >= Math.min(electrodeCount, mostElectrodes)) {
		const expected = `electrodes of a band of ${electrodeCount}`;
		return invalid("", expected, `electrode ${most}: set the number of electrodes first`);
	}
	const wrong = rows.findIndex((row) => row[0] === row[1] || (width === 4 && row[2] === row[3]));
	if (wrong >= 0) return invalid(`reading ${wrong + 1}`, "two different electrodes", rows[wrong]!.join(" "));
	return success({
		countsFrom,
		rows: rows.map((row) => {
			const [a, b, c, d] = row.map((electrode) => electrode - countsFrom);
			return width === 4 ? [a!, b!, c!, d!] : [a!, b!, a!, b!];
		}),
	});
}
