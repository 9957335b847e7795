/** A table read strictly by the grammar of RFC 4180, section 2: every row ends with CRLF, a field with a comma, quote or
 *  line break is quoted and its quotes doubled, a bare field holds none of them. Throws where the text breaks it. */
export function parseCsv(text: string): string[][] {
	const field = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/y;
	const rows: string[][] = [];
	let row: string[] = [];
	while (field.lastIndex < text.length) {
		const at = field.lastIndex;
		const match = field.exec(text);
		if (match === null) throw new Error(`no field at ${at}: ${JSON.stringify(text.slice(at, at + 40))}`);
		row.push(match[1] === undefined ? match[2]! : match[1].replaceAll('""', '"'));
		if (match[3] === "\r\n") {
			rows.push(row);
			row = [];
		}
	}
	if (row.length > 0) throw new Error("the last row does not end");
	return rows;
}
