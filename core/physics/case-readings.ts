import type { ReadingPattern } from "../band/band.ts";
import { type PairRule, patternFromRows } from "../band/patterns.ts";
import { type InvalidInput, invalid } from "../invalid-input.ts";
import { type Result, success } from "../result.ts";
import { ampere, columnNames, type SetupFile } from "./case-format.ts";

/** What a case reads, and with what current, from its `readings` or else its `drive`. */
export function readCaseReadings(
	file: Pick<SetupFile, "readings" | "drive" | "current">,
	electrodeCount: number,
	patternOf: (drive: PairRule) => ReadingPattern,
): Result<{ pattern: ReadingPattern; current: Float64Array }, InvalidInput> {
	if (file.readings === undefined) {
		if (file.drive === undefined)
			return invalid("drive", '"adjacent", "opposite" or "skip-N", or readings instead', undefined);
		if (file.current === undefined) return invalid("current", ampere, undefined);
		const drive = file.drive;
		const pattern = attempt("drive", "a drive that this many electrodes allow", () => patternOf(drive));
		if (!pattern.ok) return pattern;
		const readingCount = pattern.value.terminals.length / 4;
		return success({ pattern: pattern.value, current: new Float64Array(readingCount).fill(file.current) });
	}

	const { columns: names, rows } = file.readings;
	if (new Set(names).size !== names.length)
		return invalid("readings.columns", "each column once", names.join(", "));
	const [source, sink, plus, minus, own] = columnNames.map((name) => names.indexOf(name)) as [
		number,
		number,
		number,
		number,
		number,
	];
	for (const [name, at] of [
		["source", source],
		["sink", sink],
		["plus", plus],
		["minus", minus],
	] as const)
		if (at < 0) return invalid("readings.columns", `a column "${name}"`, names.join(", "));
	const currents = new Float64Array(rows.length);
	for (const [i, row] of rows.entries()) {
		if (row.length !== names.length)
			return invalid(`readings.rows[${i}]`, `${names.length} numbers, one per column`, row);
		const value = own < 0 ? file.current : row[own]!;
		if (value === undefined)
			return invalid("current", `${ampere}, or a column "current" in the readings`, undefined);
		if (value === 0 || Math.abs(value) > 1e6) return invalid(`readings.rows[${i}][${own}]`, ampere, value);
		currents[i] = value;
	}
	const pattern = attempt("readings.rows", "rows that name electrodes of the case", () =>
		patternFromRows(
			"readings",
			electrodeCount,
			rows.map((row) => [row[source]!, row[sink]!, row[plus]!, row[minus]!]),
		),
	);
	return pattern.ok ? success({ pattern: pattern.value, current: currents }) : pattern;
}

/** Runs what refuses impossible geometry by a RangeError in one sentence. */
export function attempt<T>(path: string, expected: string, run: () => T): Result<T, InvalidInput> {
	try {
		return success(run());
	} catch (error) {
		if (error instanceof RangeError) return invalid(path, expected, `"${error.message}"`);
		throw error;
	}
}
