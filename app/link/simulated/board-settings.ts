import { standardLimit } from "../../../core/safety/current-limit.ts";
import type { BandAbility, DriveConfiguration } from "../../../core/wire/frame.ts";
import type { RefusalReason } from "../../../core/wire/host-command.ts";
import { fullScaleCounts, fullScaleVolt, voltsPerCount } from "./front-end.ts";

/** What a simulated board can be set to, and its own limit whatever it is asked: it never drives more than this, nor
 *  more than the standard's rule at its frequency. */
const largestMilliamp = 2;
const frequencies = { least: 10_000, most: 100_000 } as const;
const gains = { least: 1, most: 200 } as const;
const firstHertz = 50_000;

export type Setting = Partial<Pick<DriveConfiguration, "currentMilliamp" | "frequencyHertz" | "gain">>;

export function abilityOf(bandIndex: number, electrodeCount: number): BandAbility {
	return {
		bandIndex,
		electrodeCount,
		minimumMilliamp: 0,
		maximumMilliamp: largestMilliamp,
		minimumHertz: frequencies.least,
		maximumHertz: frequencies.most,
		minimumGain: gains.least,
		maximumGain: gains.most,
	};
}

/** How a band is set when the board is switched on. */
export function firstConfiguration(
	bandIndex: number,
	electrodeCount: number,
	readingCount: number,
	currentMilliamp: number,
	gain: number,
	listedTerminals: Uint16Array | null = null,
): Omit<DriveConfiguration, "configuration"> {
	return {
		bandIndex,
		electrodeCount,
		drive: listedTerminals === null ? "adjacent" : "listed",
		terminals: "four-terminal",
		readingCount,
		listedTerminals,
		currentMilliamp,
		frequencyHertz: firstHertz,
		gain,
		voltsPerUnit: voltsPerCount(gain),
		fullScale: fullScaleCounts,
	};
}

/** The gain that puts the largest reading at 65 % of full scale, where 50 to 80 % is usual (common practice, no
 *  source), in steps of two digits. */
export function gainFor(largestVolt: number): number {
	const gain = (0.65 * fullScaleVolt) / largestVolt;
	return Math.min(gains.most, Math.max(gains.least, Number(gain.toPrecision(2))));
}

export function withSetting(configuration: DriveConfiguration, setting: Setting): DriveConfiguration {
	const next = { ...configuration, ...setting };
	return { ...next, voltsPerUnit: voltsPerCount(next.gain) };
}

/** Why the board would not be set so; null when it would. */
export function refusalOf(configuration: DriveConfiguration): RefusalReason | null {
	const { currentMilliamp, frequencyHertz, gain } = configuration;
	const isPossible =
		currentMilliamp <= largestMilliamp &&
		frequencyHertz >= frequencies.least &&
		frequencyHertz <= frequencies.most &&
		gain >= gains.least &&
		gain <= gains.most;
	if (!isPossible) return "out-of-range";
	return currentMilliamp / 1000 > standardLimit(frequencyHertz) * (1 + 1e-9) ? "over-limit" : null;
}
