/** Base64 of RFC 4648, section 4: with padding, and only the canonical form (unused bits are zero), so that two
 *  different lines never carry the same readings. */
const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
const padding = 0x3d;

const codes = new Uint8Array(alphabet.length);
const sextets = new Int8Array(256).fill(-1);
for (let i = 0; i < alphabet.length; i++) {
	codes[i] = alphabet.charCodeAt(i);
	sextets[codes[i]!] = i;
}

/** Decodes `source[start, end)` into `target` from 0.
 *  @returns how many bytes it held, or -1 when it is not canonical base64 or does not fit. */
export function decodeBase64(source: Uint8Array, start: number, end: number, target: Uint8Array): number {
	const length = end - start;
	if (length % 4 !== 0) return -1;
	if (length === 0) return 0;
	const pads = source[end - 1] !== padding ? 0 : source[end - 2] !== padding ? 1 : 2;
	const size = (length / 4) * 3 - pads;
	if (size > target.length) return -1;
	const wholeEnd = pads === 0 ? end : end - 4;
	let wrong = 0;
	let at = 0;
	for (let i = start; i < wholeEnd; i += 4) {
		const a = sextets[source[i]!]!;
		const b = sextets[source[i + 1]!]!;
		const c = sextets[source[i + 2]!]!;
		const d = sextets[source[i + 3]!]!;
		wrong |= a | b | c | d;
		target[at++] = (a << 2) | (b >> 4);
		target[at++] = (b << 4) | (c >> 2);
		target[at++] = (c << 6) | d;
	}
	if (pads > 0) {
		const a = sextets[source[wholeEnd]!]!;
		const b = sextets[source[wholeEnd + 1]!]!;
		const c = pads === 1 ? sextets[source[wholeEnd + 2]!]! : 0;
		wrong |= a | b | c;
		target[at++] = (a << 2) | (b >> 4);
		if (pads === 1) target[at++] = (b << 4) | (c >> 2);
		const unused = pads === 1 ? c & 0x03 : b & 0x0f;
		if (unused !== 0) return -1;
	}
	// A character outside the alphabet is -1: its sign bit survives the OR.
	return wrong < 0 ? -1 : size;
}

/** Base64 text of the first `size` bytes. */
export function encodeBase64(bytes: Uint8Array, size = bytes.length): string {
	const parts: string[] = [];
	let text = "";
	for (let i = 0; i < size; i += 3) {
		const a = bytes[i]!;
		const b = i + 1 < size ? bytes[i + 1]! : 0;
		const c = i + 2 < size ? bytes[i + 2]! : 0;
		text += alphabet[a >> 2]! + alphabet[((a & 3) << 4) | (b >> 4)]!;
		text += i + 1 < size ? alphabet[((b & 15) << 2) | (c >> 6)]! : "=";
		text += i + 2 < size ? alphabet[c & 63]! : "=";
		if (text.length > 4096) {
			parts.push(text);
			text = "";
		}
	}
	parts.push(text);
	return parts.join("");
}
