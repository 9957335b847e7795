/** Measures of exercise as people read them. */
import type { MeasureProgress } from "../../app/contract.ts";
import { formatChange, formatQuantity, type Unit } from "./quantity.ts";

export type MeasureUnit = MeasureProgress["unit"];

const NO_BREAK = "\u00a0";

/** `isChange`: a difference, with its sign. Null is a dash. */
export function formatMeasure(value: number | null, unit: MeasureUnit, isChange = false): string {
	if (value === null || !Number.isFinite(value)) return "–";
	const plus = isChange && Number(value.toFixed(decimalsOf(unit))) > 0 ? "+" : "";
	switch (unit) {
		case "S/m":
			return isChange ? formatChange(value, "S/m") : formatChange(value, "S/m").replace("+", "");
		case "%":
		case "s":
			return plus + formatQuantity(value, decimalsOf(unit), unit);
		case "repetitions":
		case "ratio":
			return plus + formatQuantity(value, decimalsOf(unit), "").trimEnd();
		case "% per repetition":
			return (value > 0 ? "+" : "") + formatQuantity(value, 1, `%${NO_BREAK}per repetition`);
	}
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
			return "% per repetition";
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
