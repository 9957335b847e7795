/** Fields of a table as RFC 4180 has them: comma, CRLF, quotes doubled; UTF-8, `.` as decimal sign. */

const END_OF_ROW = "\r\n";

function quoted(text: string): string {
	return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Free text. A spreadsheet would run a cell that begins like a formula, so such text gets an apostrophe in front (the
 *  remedy that OWASP names in "CSV Injection"). */
export function textField(text: string): string {
	return quoted(/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text);
}

/** Empty for what is no finite number: a missing value is never 0. */
export function numberField(value: number | null): string {
	return value === null || !Number.isFinite(value) ? "" : String(value);
}

/** The shortest decimal that reads back as the same float32. */
export function float32Field(value: number): string {
	if (!Number.isFinite(value)) return "";
	for (let digits = 6; digits < 9; digits++) {
		const decimal = Number(value.toPrecision(digits));
		if (Math.fround(decimal) === value) return String(decimal);
	}
	return String(Number(value.toPrecision(9)));
}

export function csvRow(fields: readonly string[]): string {
	return fields.join(",") + END_OF_ROW;
}
