function twoDigits(value: number): string {
	return String(value).padStart(2, "0");
}

/** RFC 3339 with offset, such as `2025-03-04T09:15:30.250+01:00`. `offsetMinutes` east of UTC; the machine's
 *  own at that moment when left out. */
export function toRfc3339(
	millisecondsSinceEpoch: number,
	offsetMinutes = -new Date(millisecondsSinceEpoch).getTimezoneOffset(),
): string {
	const local = new Date(millisecondsSinceEpoch + offsetMinutes * 60_000).toISOString().slice(0, -1);
	const size = Math.abs(offsetMinutes);
	const offset = `${twoDigits(Math.floor(size / 60))}:${twoDigits(size % 60)}`;
	return `${local}${offsetMinutes < 0 ? "-" : "+"}${offset}`;
}
