import type { ReadingPattern } from "../../../core/band/band.ts";
import { effectiveHeightMetre } from "../../../core/band/effective-height.ts";
import { readingsFrom } from "../../../core/physics/solve-forward.ts";
import { Random } from "./random.ts";

/** Converter of the simulated board: 24 bits over ±0.8 V r.m.s. behind the amplifier. */
export const fullScaleCounts = 2 ** 23 - 1;
export const fullScaleVolt = 0.8;
/** The source can push the current through contacts only up to this voltage, r.m.s. */
const complianceVolt = 8;
/** Channels differ a little and always in the same way; a rest baseline takes it out. */
const channelMismatch = 0.001;
/** The amplifier warms up. */
const warmUpShare = 2e-4;
const warmUpSeconds = 300;
/** Below this reading at 1 mA the noise no longer falls with the reading, V. */
const noiseFloorVolt = 0.002;

export function voltsPerCount(gain: number): number {
	return Number((fullScaleVolt / fullScaleCounts / gain).toPrecision(6));
}

/** What the board's electronics make of the voltages: drive, noise, amplifier, converter. */
export class FrontEnd {
	readonly #pattern: ReadingPattern;
	readonly #random: Random;
	readonly #mismatch: Float64Array;
	readonly #noiseShare: number;

	/** @param signalToNoiseDecibel 20·log₁₀ of reading over noise for readings well above the floor */
	constructor(pattern: ReadingPattern, signalToNoiseDecibel: number, seed: number, bandIndex: number) {
		this.#pattern = pattern;
		this.#random = new Random(seed, `noise of band ${bandIndex}`);
		this.#noiseShare = 10 ** (-signalToNoiseDecibel / 20);
		this.#mismatch = Float64Array.from(
			{ length: pattern.terminals.length / 4 },
			() => 1 + channelMismatch * this.#random.normal(),
		);
	}

	/** Voltage of the largest reading, V, without noise. @param transfer [L × L] V/A per metre */
	largestVolt(transfer: Float64Array, ampere: number): number {
		const { electrodeCount } = this.#pattern;
		const volts = readingsFrom({ electrodeCount, transfer }, this.#pattern, ampere / effectiveHeightMetre);
		return volts.reduce((largest, value) => Math.max(largest, Math.abs(value)), 0);
	}

	/** Counts of one frame. @param transfer [L × L] V/A per metre @param ohm [L] contacts @param counts overwritten */
	read(
		transfer: Float64Array,
		ohm: Float64Array,
		ampere: number,
		gain: number,
		seconds: number,
		counts: Float64Array,
	): void {
		const { electrodeCount, terminals } = this.#pattern;
		const volts = readingsFrom({ electrodeCount, transfer }, this.#pattern, ampere / effectiveHeightMetre);
		const warmUp = 1 + warmUpShare * -Math.expm1(-seconds / warmUpSeconds);
		const step = voltsPerCount(gain);
		for (let r = 0; r < counts.length; r++) {
			const sourceOhm = ohm[terminals[4 * r]!]! + ohm[terminals[4 * r + 1]!]!;
			const senseOhm = ohm[terminals[4 * r + 2]!]! + ohm[terminals[4 * r + 3]!]!;
			const driven = Math.min(1, complianceVolt / (ampere * sourceOhm + 1e-12));
			const clean = volts[r]! * driven * this.#mismatch[r]! * warmUp;
			// Amplifier inputs at high impedance pick up more.
			const pickUp = 1 + (senseOhm / 5000) ** 2;
			const noise = this.#noiseShare * Math.hypot(clean, noiseFloorVolt * pickUp);
			const value = Math.round((clean + noise * this.#random.normal()) / step);
			counts[r] = Math.max(-fullScaleCounts, Math.min(fullScaleCounts, value));
		}
	}
}
