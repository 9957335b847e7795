/** Numbers as people read them: with a unit, a true minus sign and no more digits than mean something. */

export type Unit = "S/m" | "relative";

const NO_BREAK = "\u00a0";
const MINUS = "\u2212";

export interface ChangeStyle {
	readonly withUnit?: boolean;
	/** On an axis: no plus sign, no digits that are all zero. */
	readonly tick?: boolean;
	/** Decimals; by the value itself where left out. Figures that change in place keep theirs. */
	readonly digits?: number;
}

/** A conductivity change in S/m as mS/m, a relative one in percent of the background. Null and NaN are a dash. */
export function formatChange(value: number | null, unit: Unit, style: ChangeStyle = {}): string {
	const suffix = style.withUnit === false ? "" : `${NO_BREAK}${unitText(unit)}`;
	if (value === null || !Number.isFinite(value)) return `–${suffix}`;
	const shown = value * (unit === "S/m" ? 1000 : 100);
	if (style.tick === true) return `${signed(String(Number(shown.toPrecision(6))), false)}${suffix}`;
	return `${signed(shown.toFixed(style.digits ?? digitsFor(Math.abs(value), unit)), true)}${suffix}`;
}

/** Decimals that mean something for values up to `largest` (in the unit): about three figures. */
export function digitsFor(largest: number, unit: Unit): number {
	const shown = largest * (unit === "S/m" ? 1000 : 100);
	return shown >= 99.95 ? 0 : shown >= 1.995 || shown < 0.0005 ? 1 : 2;
}

export function unitText(unit: Unit): string {
	switch (unit) {
		case "S/m":
			return "mS/m";
		case "relative":
			return "% of background";
	}
}

function signed(digits: string, withPlus: boolean): string {
	const number = Number(digits);
	if (number === 0) return digits.replace("-", "");
	if (number < 0) return digits.replace("-", MINUS);
	return withPlus ? `+${digits}` : digits;
}

/** Seconds as 0:07, 12:03 or 1:02:03. */
export function formatClock(seconds: number): string {
	if (!Number.isFinite(seconds)) return "–:––";
	const whole = Math.floor(Math.abs(seconds) + 1e-6);
	const hours = Math.floor(whole / 3600);
	const minutes = Math.floor((whole % 3600) / 60);
	const rest = String(whole % 60).padStart(2, "0");
	const sign = seconds < 0 && whole > 0 ? MINUS : "";
	return hours > 0
		? `${sign}${hours}:${String(minutes).padStart(2, "0")}:${rest}`
		: `${sign}${minutes}:${rest}`;
}

/** How long ago, in words. */
export function formatAge(seconds: number): string {
	if (seconds < 5) return "just now";
	if (seconds < 60) return `${Math.floor(seconds)}${NO_BREAK}s ago`;
	if (seconds < 3600) return `${Math.floor(seconds / 60)}${NO_BREAK}min ago`;
	return `${Math.floor(seconds / 3600)}${NO_BREAK}h ${Math.floor((seconds % 3600) / 60)}${NO_BREAK}min ago`;
}

export function formatCount(count: number): string {
	return String(count).replace(/\B(?=(\d{3})+$)/g, NO_BREAK);
}

/** `value` with so many decimals and a unit. */
export function formatQuantity(value: number, digits: number, unit: string): string {
	return Number.isFinite(value)
		? `${signed(value.toFixed(digits), false)}${NO_BREAK}${unit}`
		: `–${NO_BREAK}${unit}`;
}

/** Hertz as kHz with no needless zeros. */
export function formatFrequency(hertz: number): string {
	return `${Number((hertz / 1000).toFixed(3))}${NO_BREAK}kHz`;
}

/** An RFC 3339 time in this machine's time zone, such as 4 Mar 2026, 09:15. */
export function formatDateTime(rfc3339: string, timeZone?: string): string {
	const date = new Date(rfc3339);
	if (Number.isNaN(date.getTime())) return rfc3339;
	return new Intl.DateTimeFormat("en-GB", {
		day: "numeric",
		month: "short",
		year: "numeric",
		hour: "2-digit",
		minute: "2-digit",
		...(timeZone === undefined ? {} : { timeZone }),
	}).format(date);
}

/** A day without its time, such as 4 Mar 2026: of an RFC 3339 time in this machine's time zone, or a calendar day. */
export function formatDay(day: string): string {
	const isPlain = /^\d{4}-\d{2}-\d{2}$/.test(day);
	const date = new Date(day);
	if (Number.isNaN(date.getTime())) return day;
	return new Intl.DateTimeFormat("en-GB", {
		day: "numeric",
		month: "short",
		year: "numeric",
		...(isPlain ? { timeZone: "UTC" } : {}),
	}).format(date);
}

/** Today on this machine's calendar, such as 2026-03-04. */
export function today(now: Date = new Date()): string {
	const two = (number: number) => String(number).padStart(2, "0");
	return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
