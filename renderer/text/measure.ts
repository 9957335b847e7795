/** Measures of exercise as people read them. */
import type { MeasureProgress } from "../../app/contract.ts";
import { formatChange, formatQuantity, type Unit } from "./quantity.ts";

export type MeasureUnit = MeasureProgress["unit"];

const NO_BREAK = "\u00a0";

/** A value. Null is a dash. */
export function formatMeasure(value: number | null, unit: MeasureUnit): string {
	if (value === null || !Number.isFinite(value)) return "–";
	switch (unit) {
		case "S/m":
			return formatChange(value, "S/m").replace("+", "");
		case "%":
		case "s":
			return formatQuantity(value, decimalsOf(unit), unit);
		case "repetitions":
		case "ratio":
			return bare(value, decimalsOf(unit));
		case "% per repetition":
			return `${bare(value, 1)}${NO_BREAK}%`;
	}
}

/** A difference of two values, with its sign: of percentages in points. */
export function formatDifference(value: number | null, unit: MeasureUnit): string {
	if (value === null || !Number.isFinite(value)) return "–";
	if (unit === "S/m") return formatChange(value, "S/m");
	const plus = Number(value.toFixed(decimalsOf(unit))) > 0 ? "+" : "";
	return plus + withDifferenceUnit(bare(value, decimalsOf(unit)), unit);
}

/** How large an error or an expected variation is: one digit more than values have, for it is smaller. */
export function formatSpread(value: number, unit: MeasureUnit): string {
	if (unit === "S/m") return formatChange(value, "S/m").replace("+", "");
	return withDifferenceUnit(bare(value, decimalsOf(unit) + 1), unit);
}

function withDifferenceUnit(digits: string, unit: MeasureUnit): string {
	switch (unit) {
		case "%":
		case "% per repetition":
			return `${digits}${NO_BREAK}points`;
		case "s":
			return `${digits}${NO_BREAK}s`;
		case "S/m":
			return `${digits}${NO_BREAK}mS/m`;
		case "repetitions":
		case "ratio":
			return digits;
	}
}

function bare(value: number, decimals: number): string {
	return formatQuantity(value, decimals, "").trimEnd();
}

/** The unit as it stands beside an axis or a heading. */
export function measureUnitText(unit: MeasureUnit, kind: MeasureProgress["kind"]): string {
	switch (unit) {
		case "%":
			return kind.endsWith("engagement") ? "% of the reference" : "%";
		case "S/m":
			return "mS/m";
		case "s":
			return "s";
		case "repetitions":
			return "per set";
		case "ratio":
			return "ratio";
		case "% per repetition":
			// Its name and its value say it.
			return "";
	}
}

/** A tick on an axis: the number alone. */
export function formatTick(value: number, unit: MeasureUnit): string {
	const shown = unit === "S/m" ? 1000 * value : value;
	return String(Number(shown.toPrecision(6))).replace("-", "\u2212");
}

/** Engagement of a set: percent of the reference, or the plain change where none was taken. */
export function formatEngagement(value: number | null, unit: "percent" | "raw", raw: Unit): string {
	if (value === null) return "–";
	return unit === "percent"
		? formatQuantity(value, 0, "%")
		: formatChange(value, raw, { withUnit: true }).replace("+", "");
}

function decimalsOf(unit: MeasureUnit): number {
	switch (unit) {
		case "%":
			return 0;
		case "s":
		case "repetitions":
		case "% per repetition":
			return 1;
		case "ratio":
		case "S/m":
			return 2;
	}
}

/** A whole number without decimals, else one. */
export function formatScore(value: number | null): string {
	if (value === null) return "–";
	return String(Number(value.toFixed(1)));
}
