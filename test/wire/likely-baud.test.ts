import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { statusLine } from "../../core/wire/board-lines.ts";
import { likelyBaudRate } from "../../core/wire/likely-baud.ts";
import { misread, usualBaudRates } from "../../core/wire/uart.ts";

describe("a serial receiver", () => {
	test("at the sender's speed, or 4 % off, hears what was sent", () => {
		// Ten-bit bytes are read right while the last sample stays in its bit: half a bit in 9.5 is 5 %.
		fc.assert(
			fc.property(
				fc.uint8Array({ maxLength: 60 }),
				fc.double({ min: 0.96, max: 1.04, noNaN: true }),
				(bytes, skew) => {
					expect(misread(bytes, 115_200 * skew, 115_200)).toEqual(bytes);
				},
			),
		);
	});

	// Worked out by hand on squared paper, bit by bit.
	test.each([
		// 0x55 is 0101010101 with its start and stop bits: every fall is over before half a bit as heard.
		["U at more than twice the speed", [0x55], 2, 0.9, []],
		// 0xF0: low for five bits as sent, two and a half as heard: start, one zero, ones and the idle line.
		["0xF0 at twice the speed", [0xf0], 2, 1, [0xfe]],
		// 0x00: low for nine bits as sent, eighteen as heard; the stop bit that is looked for is still low.
		["NUL at half the speed", [0x00], 1, 2, [0x00]],
		// 0xF0: low for five bits as sent, ten as heard: start, eight zeros, and a stop bit that is missing.
		["0xF0 at half the speed", [0xf0], 1, 2, [0x00]],
		// 0xFE: low for two bits as sent, four as heard: start, three zeros, five ones.
		["0xFE at half the speed", [0xfe], 1, 2, [0xf8]],
	])("%s", (_, sent, sentBaud, heardBaud, heard) => {
		expect([...misread(Uint8Array.from(sent), sentBaud, heardBaud)]).toEqual(heard);
	});

	test("that drops bytes without a stop bit hears fewer", () => {
		expect(misread(Uint8Array.from([0xf0]), 1, 2, false)).toEqual(new Uint8Array(0));
	});
});

/** Six seconds of a board that stands by. */
function heardOf(sentBaud: number, heardBaud: number): Uint8Array {
	const heard: number[] = [];
	for (let second = 0; second < 6; second++) {
		const status = { bandIndex: 0, activity: "stopped", batteryPercent: 87 } as const;
		const line = Buffer.from(statusLine(status, 3_000_000 + 1_000_013 * second), "latin1");
		heard.push(...misread(line, sentBaud, heardBaud));
	}
	return Uint8Array.from(heard);
}

describe("the likely speed", () => {
	const near = [38_400, 57_600, 115_200, 230_400, 460_800, 921_600];
	const pairs = near.flatMap((sent) => near.filter((heard) => heard !== sent).map((heard) => [sent, heard]));

	test("is the true one or not told, also where the board's clock is 1 % off", () => {
		let told = 0;
		for (const [sent, heard] of pairs) {
			for (const skew of [0.99, 1]) {
				const likely = likelyBaudRate(heardOf(skew * sent!, heard!), heard!);
				expect([sent, null]).toContain(likely);
				if (likely !== null) told++;
			}
		}
		expect(told).toBeGreaterThan(pairs.length);
	});

	test.each(usualBaudRates.slice(3, 6))("is not told of what came in right at %i", (baud) => {
		expect(likelyBaudRate(heardOf(baud, baud), baud)).toBeNull();
	});

	test("is not told of noise, nor of too little", () => {
		const noise = Uint8Array.from({ length: 400 }, (_, i) => (i * i * 7 + i * 31) % 256);
		expect(likelyBaudRate(noise, 115_200)).toBeNull();
		expect(likelyBaudRate(heardOf(57_600, 115_200).subarray(0, 20), 115_200)).toBeNull();
	});
});
