import type { BoardProfile, Column } from "./board-profile.ts";
import { LineSplitter } from "./line-splitter.ts";

export interface SeenLine {
	/** From 1, in the sample. */
	readonly number: number;
	readonly text: string;
	/** `skipped`: a comment, a mark or a line that does not begin with the prefix. */
	readonly kind: "data" | "skipped";
	/** Where each field lies in `text`; empty with skipped lines. */
	readonly fields: readonly SeenField[];
}

export interface SeenField {
	readonly column: Column;
	readonly from: number;
	readonly to: number;
	readonly text: string;
}

type Reading = Pick<BoardProfile, "line" | "prefix" | "comments" | "frame">;

/** The first lines of a sample, cut into fields as the reader cuts them. */
export function seeFields(
	text: string,
	{ line, prefix, comments, frame }: Reading,
	mostLines: number,
): SeenLine[] {
	const splitter = new LineSplitter(line);
	const begins = frame.mark === null ? comments : [...comments, frame.mark];
	const seen: SeenLine[] = [];
	let number = 0;
	for (let at = 0; at < text.length && seen.length < mostLines; ) {
		const feed = text.indexOf("\n", at);
		const end = feed < 0 ? text.length : feed;
		const one = text.slice(at, end).replace(/\r$/, "");
		at = end + 1;
		number++;
		if (one === "") continue;
		const isSkipped = begins.some((begin) => one.startsWith(begin)) || !one.startsWith(prefix);
		if (isSkipped) {
			seen.push({ number, text: one, kind: "skipped", fields: [] });
			continue;
		}
		// What parts fields is ASCII, so that a place holder for other characters keeps their places.
		const bytes = new Uint8Array(one.length);
		for (let i = 0; i < one.length; i++) bytes[i] = Math.min(one.charCodeAt(i), 0x7f);
		const isWhole = splitter.split(bytes, prefix.length, bytes.length);
		const fields = Array.from({ length: isWhole ? splitter.count : 0 }, (_, field) => {
			const [from, to] = [splitter.start(field), splitter.end(field)];
			const key = one.slice(splitter.keyStart(field), splitter.keyEnd(field));
			return { column: line.kind === "keyed" ? key : field, from, to, text: one.slice(from, to) };
		});
		seen.push({ number, text: one, kind: "data", fields });
	}
	return seen;
}
