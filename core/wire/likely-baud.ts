/** Which speed a board talks at, told from what a port at another speed makes of its lines. */
import { statusLine } from "./board-lines.ts";
import type { BandActivity } from "./frame.ts";
import { misread, usualBaudRates } from "./uart.ts";

/** Fewer bytes tell nothing. */
const fewestBytes = 40;
/** Natural logarithm of how many times better the likeliest speed must explain the bytes than the next: one in a
 *  hundred million (our own choice, far above what chance gives for such texts). */
const clearBy = 18;
/** The average byte may be this much less likely (natural logarithm) than the speed's own texts make it. */
const worstFit = 0.5;
/** Both clocks may be a little off; receivers of ten-bit bytes work up to about 5 % in all. */
const clockSkews = [1, 0.985, 1.015] as const;
/** What is never expected may still come: a share of all bytes is spread evenly. */
const strayShare = 0.05;

/**
 * A board that was not understood says little but its status, once a second. Its text, heard at a wrong speed, gives for
 * each true speed other bytes; the speed whose bytes are like those that came, clearly before all others, is told.
 *
 * @param heard what came in at `heardBaud`
 * @returns bit/s; null where nothing fits, or more than one speed does
 */
export function likelyBaudRate(heard: Uint8Array, heardBaud: number): number | null {
	if (heard.length < fewestBytes) return null;
	let best = Number.NEGATIVE_INFINITY;
	let second = Number.NEGATIVE_INFINITY;
	let likeliest: number | null = null;
	for (const baud of usualBaudRates) {
		let fit = Number.NEGATIVE_INFINITY;
		for (const skew of clockSkews) {
			for (const keeps of [true, false]) {
				fit = Math.max(fit, fitOf(heard, expectedShares(skew * baud, heardBaud, keeps)));
			}
		}
		if (fit > best) {
			second = best;
			best = fit;
			likeliest = baud;
		} else if (fit > second) second = fit;
	}
	return likeliest === heardBaud || best - second < clearBy ? null : likeliest;
}

/** Log likelihood of the bytes; minus infinity where they are too unlike what was expected. */
function fitOf(heard: Uint8Array, shares: Float64Array | null): number {
	if (shares === null) return Number.NEGATIVE_INFINITY;
	let sum = 0;
	for (const byte of heard) sum += Math.log(shares[byte]!);
	const usual = shares.reduce((mean, share) => mean + share * Math.log(share), 0);
	return sum / heard.length < usual - worstFit ? Number.NEGATIVE_INFINITY : sum;
}

/** [256] how often each byte is expected; null where hardly any comes through. */
function expectedShares(sentBaud: number, heardBaud: number, keepsBroken: boolean): Float64Array | null {
	const counts = new Float64Array(256);
	let total = 0;
	for (const line of sampleLines) {
		for (const byte of misread(line, sentBaud, heardBaud, keepsBroken)) {
			counts[byte]!++;
			total++;
		}
	}
	if (total < sampleLines.length) return null;
	return counts.map((count) => strayShare / 256 + ((1 - strayShare) * count) / total);
}

const activities: readonly BandActivity[] = ["stopped", "stopped", "charging", "running"];

/** Status lines of all sorts: times of any length, batteries of any charge. */
const sampleLines = Array.from({ length: 80 }, (_, i) => {
	const rawMicros = Math.floor(2 ** 32 * ((i * 0.618_033_988_75) % 1) ** 2);
	const activity = activities[i % activities.length]!;
	const batteryPercent = i % 7 === 0 ? null : (i * 37) % 101;
	const text = statusLine({ bandIndex: i % 16 === 0 ? 1 : 0, activity, batteryPercent }, rawMicros);
	return Uint8Array.from(text, (character) => character.charCodeAt(0));
});
