import type { BoardProfile, Column } from "./board-profile.ts";

const blank = 0x20;
const tab = 0x09;
const mostFields = 8192;

/** Cuts a line into fields and finds those that a profile names. Allocates nothing for a line. */
export class LineSplitter {
	readonly #line: BoardProfile["line"];
	readonly #separator: number;
	readonly #assign: number;
	readonly #starts = new Int32Array(mostFields);
	readonly #ends = new Int32Array(mostFields);
	/** Where the key in front of each field begins and ends, with keyed lines. */
	readonly #keyStarts = new Int32Array(mostFields);
	readonly #keyEnds = new Int32Array(mostFields);
	#bytes: Uint8Array = new Uint8Array(0);
	count = 0;

	constructor(line: BoardProfile["line"]) {
		this.#line = line;
		this.#separator = line.kind === "fixed-columns" ? 0 : line.separator.charCodeAt(0);
		this.#assign = line.kind === "keyed" ? line.assign.charCodeAt(0) : 0;
	}

	/** @returns false when the line has more fields than any board prints */
	split(bytes: Uint8Array, start: number, end: number): boolean {
		this.#bytes = bytes;
		this.count = 0;
		if (this.#line.kind === "fixed-columns") {
			for (const range of this.#line.ranges)
				this.#add(Math.min(start + range[0], end), Math.min(start + range[1], end));
			return true;
		}
		return this.#separator === blank ? this.#splitAtBlanks(start, end) : this.#splitAt(start, end);
	}

	#splitAt(start: number, end: number): boolean {
		let from = start;
		for (let at = start; at <= end; at++) {
			if (at < end && this.#bytes[at] !== this.#separator) continue;
			if (this.count === mostFields) return false;
			this.#add(from, at);
			from = at + 1;
		}
		return true;
	}

	#splitAtBlanks(start: number, end: number): boolean {
		let at = start;
		for (;;) {
			while (at < end && isBlank(this.#bytes[at]!)) at++;
			if (at >= end) return true;
			const from = at;
			while (at < end && !isBlank(this.#bytes[at]!)) at++;
			if (this.count === mostFields) return false;
			this.#add(from, at);
		}
	}

	/** Blanks around a field, and around its key, do not count. */
	#add(from: number, to: number): void {
		const bytes = this.#bytes;
		let start = from;
		let end = to;
		if (this.#line.kind === "keyed") {
			let assign = start;
			while (assign < end && bytes[assign] !== this.#assign) assign++;
			let keyStart = start;
			let keyEnd = assign;
			while (keyStart < keyEnd && isBlank(bytes[keyStart]!)) keyStart++;
			while (keyEnd > keyStart && isBlank(bytes[keyEnd - 1]!)) keyEnd--;
			this.#keyStarts[this.count] = keyStart;
			this.#keyEnds[this.count] = keyEnd;
			start = Math.min(assign + 1, end);
		}
		while (start < end && isBlank(bytes[start]!)) start++;
		while (end > start && isBlank(bytes[end - 1]!)) end--;
		this.#starts[this.count] = start;
		this.#ends[this.count] = end;
		this.count++;
	}

	start(field: number): number {
		return this.#starts[field]!;
	}

	end(field: number): number {
		return this.#ends[field]!;
	}

	keyStart(field: number): number {
		return this.#keyStarts[field]!;
	}

	keyEnd(field: number): number {
		return this.#keyEnds[field]!;
	}

	/** Whether a field's key is the given one. */
	hasKey(field: number, key: Uint8Array): boolean {
		if (field < 0 || field >= this.count) return false;
		const start = this.#keyStarts[field]!;
		if (this.#keyEnds[field]! - start !== key.length) return false;
		for (let i = 0; i < key.length; i++) if (this.#bytes[start + i] !== key[i]) return false;
		return true;
	}
}

/** Finds one field of a profile in a line that was split. */
export class FieldFinder {
	readonly #key: Uint8Array | null;
	/** With keys: where it was last, for boards print them in one order. */
	#position: number;

	constructor(column: Column) {
		this.#key = typeof column === "string" ? bytesOfText(column) : null;
		this.#position = typeof column === "number" ? column : 0;
	}

	/** @returns the field's position, or -1 when the line has no such field */
	find(line: LineSplitter): number {
		const key = this.#key;
		if (key === null) return this.#position < line.count ? this.#position : -1;
		if (line.hasKey(this.#position, key)) return this.#position;
		for (let field = 0; field < line.count; field++) {
			if (!line.hasKey(field, key)) continue;
			this.#position = field;
			return field;
		}
		return -1;
	}
}

function isBlank(byte: number): boolean {
	return byte === blank || byte === tab;
}

/** UTF-8, written out: `core` has no text encoder. Half a character, which UTF-8 cannot write, becomes U+FFFD. */
export function bytesOfText(text: string): Uint8Array {
	const escaped = encodeURIComponent(text.replace(/\p{Surrogate}/gu, "\ufffd"));
	const bytes: number[] = [];
	for (let i = 0; i < escaped.length; i++) {
		if (escaped[i] === "%") {
			bytes.push(Number.parseInt(escaped.slice(i + 1, i + 3), 16));
			i += 2;
		} else bytes.push(escaped.charCodeAt(i));
	}
	return Uint8Array.from(bytes);
}
