/** What a serial receiver makes of bytes that were sent at another speed: 8 data bits, no parity, one stop bit. */

/** Usual speeds, bit/s. */
export const usualBaudRates = [
	9600, 19_200, 38_400, 57_600, 115_200, 230_400, 460_800, 921_600, 1_000_000, 2_000_000, 3_000_000,
	4_000_000,
] as const;

/** Start bit, eight data bits, stop bit. */
const bitsPerByte = 10;

/**
 * A receiver waits for the line to fall, looks half a bit later whether that was a start bit, and then at the middle of
 * each bit, least significant first (as any UART's data sheet describes it). The bytes are sent without pauses, after an
 * idle line and before one.
 *
 * @param keepsBroken whether bytes whose stop bit is missing are passed on; many systems drop them
 */
export function misread(
	bytes: Uint8Array,
	sentBaud: number,
	heardBaud: number,
	keepsBroken = true,
): Uint8Array {
	const lastBit = bitsPerByte * bytes.length;
	/** Lengths of time are counted in bits as sent. */
	const step = sentBaud / heardBaud;
	const levelAt = (time: number): 0 | 1 => levelOf(bytes, Math.floor(time));
	const heard: number[] = [];
	for (let time = 0; time < lastBit; ) {
		if (levelAt(time) === 1) {
			time = Math.floor(time) + 1;
			continue;
		}
		// A fall shorter than half a bit is a glitch.
		if (levelAt(time + 0.5 * step) === 1) {
			time = nextRise(bytes, time);
			continue;
		}
		let byte = 0;
		for (let bit = 0; bit < 8; bit++) byte |= levelAt(time + (1.5 + bit) * step) << bit;
		const stopsAt = time + 9.5 * step;
		const isBroken = levelAt(stopsAt) === 0;
		if (!isBroken || keepsBroken) heard.push(byte);
		// The next start bit is a fall: a line that is still low has to rise before.
		time = isBroken ? nextRise(bytes, stopsAt) : stopsAt;
	}
	return Uint8Array.from(heard);
}

function levelOf(bytes: Uint8Array, bit: number): 0 | 1 {
	const index = Math.floor(bit / bitsPerByte);
	if (index >= bytes.length) return 1;
	const place = bit - bitsPerByte * index;
	if (place === 0) return 0;
	if (place === bitsPerByte - 1) return 1;
	return ((bytes[index]! >> (place - 1)) & 1) as 0 | 1;
}

function nextRise(bytes: Uint8Array, time: number): number {
	let bit = Math.floor(time);
	while (levelOf(bytes, bit) === 0) bit++;
	return bit;
}
