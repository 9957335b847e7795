import { numberOfOther } from "../band/board-electrode.ts";
import { crc16 } from "./crc.ts";
import { longestLine, longestWord, mostBands, mostElectrodes } from "./limits.ts";

const space = 0x20;
const tilde = 0x7e;
const carriageReturn = 0x0d;
const comma = 0x2c;
const colon = 0x3a;
const minus = 0x2d;
const point = 0x2e;
const digit0 = 0x30;

export type LineShape = "whole" | "empty" | "too-long" | "not-ascii" | "no-checksum" | "bad-checksum";

/** Digits that a decimal reading may have: fewer than 2⁵³ has, so that the quotient below is correctly rounded. */
const mostDigits = 15;
const powersOfTen = Float64Array.from({ length: mostDigits + 1 }, (_, exponent) => Number(`1e${exponent}`));

/**
 * Reads one line field by field, straight from its bytes and without allocating for numbers. `open` checks the
 * frame (length, checksum) first, so every reader below may rely on what the sender wrote. A reader that finds
 * something else sets `failed` and returns a harmless value: check once, after the last field.
 */
export class LineFields {
	#bytes: Uint8Array = new Uint8Array(0);
	#at = 0;
	#end = 0;
	failed: boolean = false;
	/** A number was written well but lies outside its range. */
	outOfRange: boolean = false;

	/** Takes a line without its LF; one CR at its end is ignored. */
	open(line: Uint8Array): LineShape {
		let end = line.length;
		if (end >= longestLine) return "too-long";
		if (end > 0 && line[end - 1] === carriageReturn) end--;
		if (end === 0) return "empty";
		const body = end - 5;
		const sent = body < 1 || line[body] !== tilde ? -1 : hexadecimal(line, body + 1);
		if (sent < 0) return isPrintable(line, end) ? "no-checksum" : "not-ascii";
		if (crc16(line, 0, body) !== sent) return isPrintable(line, end) ? "bad-checksum" : "not-ascii";
		this.#bytes = line;
		this.#at = 0;
		this.#end = body;
		this.failed = false;
		this.outOfRange = false;
		return "whole";
	}

	/** The first field's only character, or 0 when it is longer. */
	type(): number {
		const start = this.#at;
		const end = this.#fieldEnd();
		this.#at = end + 1;
		return end - start === 1 ? this.#bytes[start]! : 0;
	}

	/** A whole number without sign, spare zeros or exponent, from `least` to `most` (below 2⁵³). */
	whole(least: number, most: number): number {
		const start = this.#at;
		const end = this.#fieldEnd();
		this.#at = end + 1;
		const value = this.#digits(start, end);
		if (value < 0) {
			this.failed = true;
			return least;
		}
		if (value < least || value > most) {
			this.outOfRange = true;
			return least;
		}
		return value;
	}

	/** The same, or `-` for "not known", which gives -1. */
	wholeOrUnknown(least: number, most: number): number {
		if (this.#isUnknown()) {
			this.#at += 2;
			return -1;
		}
		return this.whole(least, most);
	}

	/** A number as JSON writes it (no allocation matters here: only settings are written so). */
	real(least: number, most: number): number {
		const text = this.#text(24);
		if (text === null || !/^-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?$/.test(text)) {
			this.failed = true;
			return least;
		}
		const value = Number(text);
		if (!(value >= least && value <= most)) {
			this.outOfRange = true;
			return least;
		}
		return value;
	}

	/** The field `-` where a command takes no value. */
	nothing(): void {
		if (this.#isUnknown()) this.#at += 2;
		else this.failed = true;
	}

	/** One of a closed set of words, as its position in the set; -1 and `failed` for any other. */
	choice(words: readonly Uint8Array[]): number {
		const start = this.#at;
		const end = this.#fieldEnd();
		this.#at = end + 1;
		for (let i = 0; i < words.length; i++) {
			if (matches(this.#bytes, start, end, words[i]!)) return i;
		}
		this.failed = true;
		return -1;
	}

	/** Letters, digits, `.`, `_` and `-`. */
	word(): string {
		const text = this.#text(longestWord);
		if (text === null || !/^[A-Za-z0-9._-]+$/.test(text)) {
			this.failed = true;
			return "";
		}
		return text;
	}

	/** `*` for all bands, which gives -1, or one band's number. */
	bandOrAll(most: number): number {
		if (this.#at + 1 <= this.#end && this.#bytes[this.#at] === 0x2a && this.#fieldEnd() === this.#at + 1) {
			this.#at += 2;
			return -1;
		}
		return this.whole(0, most);
	}

	/** Leaves the last field to a reader of payloads, which must take it whole: `[start, end)` of `bytes`. */
	lastField(): void {
		if (this.#at >= this.#end || this.#fieldEnd() !== this.#end) this.failed = true;
	}
	get bytes(): Uint8Array {
		return this.#bytes;
	}
	get start(): number {
		return this.#at;
	}
	get end(): number {
		return this.#end;
	}

	/** Whether all fields have been read and none is left. */
	finished(): boolean {
		return this.#at === this.#end + 1;
	}

	/** What is wrong with a line whose fields have all been read; null when nothing is. */
	fault(): "bad-field" | "out-of-range" | null {
		if (this.failed || !this.finished()) return "bad-field";
		return this.outOfRange ? "out-of-range" : null;
	}

	/** One entry of a comma list of decimal numbers; NaN and `failed` for anything else. `-` alone is NaN without
	 *  `failed` when `unknownAllowed`. */
	decimalEntry(unknownAllowed = false): number {
		const bytes = this.#bytes;
		let at = this.#at;
		const negative = at < this.#end && bytes[at] === minus;
		if (negative) at++;
		const first = at;
		let digits = 0;
		let mantissa = 0;
		let fraction = 0;
		let seenPoint = false;
		for (; at < this.#end; at++) {
			const digit = bytes[at]! - digit0;
			if (digit >= 0 && digit <= 9) {
				mantissa = mantissa * 10 + digit;
				if (++digits > mostDigits) break;
				if (seenPoint) fraction++;
			} else if (bytes[at] === point && !seenPoint && digits > 0) {
				seenPoint = true;
			} else break;
		}
		const atEntryEnd = at === this.#end || bytes[at] === comma;
		if (atEntryEnd) this.#at = at + 1;
		if (unknownAllowed && atEntryEnd && negative && digits === 0) return Number.NaN;
		const spareZero = digits - fraction > 1 && bytes[first] === digit0;
		if (!atEntryEnd || digits === 0 || digits > mostDigits || spareZero || (seenPoint && fraction === 0)) {
			this.failed = true;
			return Number.NaN;
		}
		const magnitude = mantissa / powersOfTen[fraction]!;
		return negative ? -magnitude : magnitude;
	}

	/** One entry of a comma list of electrodes, `5`, or `1:5` for electrode 5 of band 1: as `numberOfOther` has it, or the
	 *  electrode itself for one of band `own`. −1 and `failed` where it is not written so, −1 and `outOfRange` for what
	 *  no board has. */
	electrodeEntry(own: number): number {
		const start = this.#at;
		let end = start;
		let split = -1;
		for (; end < this.#end && this.#bytes[end] !== comma; end++) if (this.#bytes[end] === colon) split = end;
		this.#at = end + 1;
		const band = split < 0 ? own : this.#digits(start, split);
		const electrode = this.#digits(split < 0 ? start : split + 1, end);
		if (band < 0 || electrode < 0) {
			this.failed = true;
			return -1;
		}
		if (band >= mostBands || electrode >= mostElectrodes) {
			this.outOfRange = true;
			return -1;
		}
		return band === own ? electrode : numberOfOther({ band, electrode });
	}

	/** Whether another entry of a comma list follows. */
	hasEntry(): boolean {
		return !this.failed && this.#at <= this.#end;
	}

	#digits(start: number, end: number): number {
		if (end <= start || end - start > mostDigits) return -1;
		if (this.#bytes[start] === digit0 && end - start > 1) return -1;
		let value = 0;
		for (let i = start; i < end; i++) {
			const digit = this.#bytes[i]! - digit0;
			if (digit < 0 || digit > 9) return -1;
			value = value * 10 + digit;
		}
		return value;
	}

	#isUnknown(): boolean {
		return this.#at < this.#end && this.#bytes[this.#at] === minus && this.#fieldEnd() === this.#at + 1;
	}

	#text(longest: number): string | null {
		const start = this.#at;
		const end = this.#fieldEnd();
		this.#at = end + 1;
		if (end <= start || end - start > longest) return null;
		let text = "";
		for (let i = start; i < end; i++) text += String.fromCharCode(this.#bytes[i]!);
		return text;
	}

	#fieldEnd(): number {
		let end = this.#at;
		while (end < this.#end && this.#bytes[end] !== space) end++;
		return end;
	}
}

/** The words of a closed set as bytes, for `choice`. */
export function wordBytes(words: readonly string[]): readonly Uint8Array[] {
	return words.map((word) => Uint8Array.from(word, (character) => character.charCodeAt(0)));
}

function matches(bytes: Uint8Array, start: number, end: number, word: Uint8Array): boolean {
	if (end - start !== word.length) return false;
	for (let i = 0; i < word.length; i++) {
		if (bytes[start + i] !== word[i]) return false;
	}
	return true;
}

function hexadecimal(bytes: Uint8Array, start: number): number {
	let value = 0;
	for (let i = start; i < start + 4; i++) {
		const byte = bytes[i]!;
		const digit =
			byte >= 0x30 && byte <= 0x39 ? byte - 0x30 : byte >= 0x41 && byte <= 0x46 ? byte - 0x37 : -1;
		if (digit < 0) return -1;
		value = value * 16 + digit;
	}
	return value;
}

function isPrintable(bytes: Uint8Array, end: number): boolean {
	for (let i = 0; i < end; i++) {
		if (bytes[i]! < 0x20 || bytes[i]! > 0x7e) return false;
	}
	return true;
}
