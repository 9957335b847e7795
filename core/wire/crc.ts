/**
 * CRC-16/CCITT-FALSE: polynomial 0x1021, start value 0xFFFF, bits not reflected, no final inversion; check value
 * over the ASCII digits 1 to 9 is 0x29B1 (catalogue of parametrised CRC algorithms, entry CRC-16/IBM-3740).
 * Detects every single flipped bit, every odd number of them, every burst up to 16 bits, and any two flipped bits
 * less than 32,768 bits apart.
 */
const table = new Uint16Array(256);
for (let byte = 0; byte < 256; byte++) {
	let remainder = byte << 8;
	for (let bit = 0; bit < 8; bit++) remainder = (remainder << 1) ^ (remainder & 0x8000 ? 0x1021 : 0);
	table[byte] = remainder;
}

/** CRC of `bytes[start, end)`. */
export function crc16(bytes: Uint8Array, start = 0, end = bytes.length): number {
	let crc = 0xffff;
	for (let i = start; i < end; i++) crc = ((crc << 8) & 0xff00) ^ table[(crc >> 8) ^ bytes[i]!]!;
	return crc;
}

/** CRC of a text of single-byte characters. */
export function crc16OfText(text: string): number {
	let crc = 0xffff;
	for (let i = 0; i < text.length; i++) {
		crc = ((crc << 8) & 0xff00) ^ table[(crc >> 8) ^ (text.charCodeAt(i) & 0xff)]!;
	}
	return crc;
}

/** A whole line: what it says, its checksum and LF. */
export function closedLine(body: string): string {
	return `${body}~${crcDigits(crc16OfText(body))}\n`;
}

/** Four upper-case hexadecimal digits, as they stand at the end of a line. */
export function crcDigits(crc: number): string {
	return crc.toString(16).toUpperCase().padStart(4, "0");
}
