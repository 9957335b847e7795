/** Measures of exercise as people read them. */
import type { MeasureProgress } from "../../app/contract.ts";
import { errorBand } from "../../core/exercise/measurement-error.ts";
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

/** The difference of two values as they are shown, so that the three figures of a row agree. */
export function formatShownDifference(first: number, second: number, unit: MeasureUnit): string {
	if (unit === "S/m") return formatDifference(second - first, unit);
	const shown = (value: number): number => Number(value.toFixed(decimalsOf(unit)));
	return formatDifference(shown(second) - shown(first), unit);
}

/** How large an error or an expected variation is: in two figures, as is usual for an uncertainty (JCGM 100:2008, 7.2.6),
 *  and with at most one decimal more than values have. */
export function formatSpread(value: number, unit: MeasureUnit): string {
	if (unit === "S/m") return formatChange(value, "S/m").replace("+", "");
	const figures = value > 0 ? 1 - Math.floor(Math.log10(value)) : 0;
	return withDifferenceUnit(bare(value, Math.max(0, Math.min(decimalsOf(unit) + 1, figures))), unit);
}

/** How far the true value reaches from a measured one, 95 %: 1.96 standard errors. */
export function errorReach(sem: number): number {
	return errorBand(0, sem)[1];
}

/** The least that a value axis shows: a smaller piece would make noise look like a course (our own choice). */
export function leastSpan(unit: MeasureUnit, kind: MeasureProgress["kind"]): number {
	switch (unit) {
		case "%":
			return 40;
		case "S/m":
			return 0.01;
		case "s":
			return kind === "time-to-peak" ? 1 : 4;
		case "repetitions":
			return 6;
		case "ratio":
			return 0.6;
		case "% per repetition":
			return 20;
	}
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
			// Its name says it.
			return "";
		case "ratio":
			return "ratio";
		case "% per repetition":
			return "per repetition";
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
