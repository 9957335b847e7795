/** A day as people write it, `2025-03-04`, without clock and time zone: whoever knows today passes it in. */
export type CalendarDay = string;

/** ISO 8601: 1 Monday … 7 Sunday. */
export type Weekday = 1 | 2 | 3 | 4 | 5 | 6 | 7;

export function isCalendarDay(text: string): boolean {
	const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
	if (match === null) return false;
	const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
	return month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month);
}

/**
 * Days since 1970-01-01. Julian day number of the Gregorian calendar by H. F. Fliegel & T. C. Van Flandern, Comm. ACM
 * 11:657, 1968, less 2440588.
 * @throws RangeError on what is no day
 */
export function dayNumberOf(day: CalendarDay): number {
	if (!isCalendarDay(day)) throw new RangeError(`'${day}' is no day such as 2025-03-04`);
	const [i, j, k] = day.split("-").map(Number) as [number, number, number];
	const a = Math.trunc((j - 14) / 12);
	return (
		k -
		32075 +
		Math.trunc((1461 * (i + 4800 + a)) / 4) +
		Math.trunc((367 * (j - 2 - a * 12)) / 12) -
		Math.trunc((3 * Math.trunc((i + 4900 + a) / 100)) / 4) -
		2440588
	);
}

/** The inverse of `dayNumberOf`, from the same source. */
export function dayOfNumber(number: number): CalendarDay {
	let l = number + 2440588 + 68569;
	const n = Math.trunc((4 * l) / 146097);
	l -= Math.trunc((146097 * n + 3) / 4);
	const i = Math.trunc((4000 * (l + 1)) / 1461001);
	l = l - Math.trunc((1461 * i) / 4) + 31;
	const j = Math.trunc((80 * l) / 2447);
	const day = l - Math.trunc((2447 * j) / 80);
	l = Math.trunc(j / 11);
	const month = j + 2 - 12 * l;
	const year = 100 * (n - 49) + i + l;
	return `${String(year).padStart(4, "0")}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}`;
}

/** 1970-01-01 was a Thursday. */
export function weekdayOf(day: CalendarDay): Weekday {
	return (((((dayNumberOf(day) + 3) % 7) + 7) % 7) + 1) as Weekday;
}

function daysInMonth(year: number, month: number): number {
	if (month === 2) return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0 ? 29 : 28;
	return [4, 6, 9, 11].includes(month) ? 30 : 31;
}
