/** Everything live about one band of the board, from its configuration to its baseline. */

import type { ReadingPattern } from "../../core/band/band.ts";
import { ownReadings } from "../../core/band/board-electrode.ts";
import { createPattern, isPairRule } from "../../core/band/patterns.ts";
import { findReciprocalPairs, type ReciprocalPairs } from "../../core/band/reciprocity.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { RestBaseline } from "../../core/signal/baseline.ts";
import { judgeContacts } from "../../core/signal/contact.ts";
import { createRateMeter, type RateMeter } from "../../core/signal/rate.ts";
import { createReadingWatch, type ReadingWatch } from "../../core/signal/reading-watch.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import { isSameDrive } from "../../core/wire/same-drive.ts";
import type { AppState, Fault } from "../contract.ts";

export interface LiveBaseline {
	readonly rest: RestBaseline;
	readonly configuration: DriveConfiguration;
	/** ms since the epoch. */
	readonly takenAt: number;
	readonly seconds: number;
	readonly automatic: boolean;
	/** The rest that was taken, where this one has followed its drift since; models are made of that one. Null for one
	 *  that was taken. */
	readonly followedFrom: LiveBaseline | null;
}

export interface LiveBand {
	readonly bandIndex: number;
	/** As last announced. Only its number changes during a band's life: other settings make another band. */
	configuration: DriveConfiguration;
	readonly pattern: ReadingPattern;
	/** Numbers of the readings that its own electrodes alone drive and read. */
	readonly own: Uint32Array;
	readonly pairs: ReciprocalPairs;
	/** [pairs.count] */
	readonly scratch: Float64Array;
	/** Frames and losses of this band. */
	readonly meter: RateMeter;
	contacts: AppState["contacts"];
	/** [nElectrodes] ohm as last reported; null before. */
	ohm: Float64Array | null;
	baseline: LiveBaseline | null;
	/** Tells what pictures are made without. */
	readonly watch: ReadingWatch;
	/** Of the newest frame; null where the pattern has no reciprocal pairs. */
	reciprocityPercent: number | null;
	/** Of the newest frame, 0 to 1. */
	saturatedShare: number;
}

const RATE_WINDOW_MS = 3000;

/** A band as its board announces it. What was known about the band stays true when only the gain or the like was told
 *  anew; a baseline does not survive any change. */
export function createLiveBand(
	configuration: DriveConfiguration,
	known: LiveBand | null,
): Result<LiveBand, Fault> {
	const pattern = patternOf(configuration);
	if (!pattern.ok) return pattern;
	const pairs = findReciprocalPairs(pattern.value);
	const sameBand = known?.pattern.electrodeCount === pattern.value.electrodeCount ? known : null;
	const watch = createReadingWatch(pattern.value, configuration.fullScale);
	if (sameBand !== null && sameBand.ohm !== null) watch.setContacts(judgeContacts(sameBand.ohm));
	return success({
		bandIndex: configuration.bandIndex,
		configuration,
		pattern: pattern.value,
		own: ownReadings(pattern.value),
		pairs,
		scratch: new Float64Array(pairs.count),
		meter: sameBand?.meter ?? createRateMeter(RATE_WINDOW_MS),
		contacts: sameBand?.contacts ?? unknownContacts(pattern.value.electrodeCount),
		ohm: sameBand?.ohm ?? null,
		baseline: null,
		watch,
		reciprocityPercent: null,
		saturatedShare: 0,
	});
}

/** Same drive, settings and readings: what was measured with one holds for the other. */
export function isSameConfiguration(a: DriveConfiguration, b: DriveConfiguration): boolean {
	return isSameDrive(a, b) && isSameList(a.listedTerminals, b.listedTerminals);
}

export function isSameList(
	a: Uint16Array | Float64Array | null,
	b: Uint16Array | Float64Array | null,
): boolean {
	if (a === b || a === null || b === null) return a === b;
	if (a.length !== b.length) return false;
	for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
	return true;
}

/** Changes are counted from another rest from now on; null for none. */
export function setRest(band: LiveBand, baseline: LiveBaseline | null): void {
	band.baseline = baseline;
	band.watch.setBaseline(baseline?.rest ?? null);
}

/** The rest that was taken, whatever has been followed since. */
export function takenRest(baseline: LiveBaseline): LiveBaseline {
	return baseline.followedFrom ?? baseline;
}

export function setContacts(band: LiveBand, ohm: Float64Array): void {
	band.ohm = Float64Array.from(ohm);
	const verdicts = judgeContacts(ohm);
	band.watch.setContacts(verdicts);
	band.contacts = verdicts.map((verdict, i) => ({
		ohm: Number.isFinite(ohm[i]!) ? ohm[i]! : null,
		verdict,
	}));
}

export function unknownContacts(electrodeCount: number): AppState["contacts"] {
	return Array.from({ length: electrodeCount }, () => ({ ohm: null, verdict: "unknown" as const }));
}

/** Ohm for each unit of a value: what pictures are made of, so that the board's current and gain drop out. */
export function ohmPerUnit(configuration: DriveConfiguration): number {
	return configuration.voltsPerUnit / (configuration.currentMilliamp / 1000);
}

function patternOf(configuration: DriveConfiguration): Result<ReadingPattern, Fault> {
	const { electrodeCount, drive, terminals, listedTerminals, readingCount } = configuration;
	if (listedTerminals !== null) {
		const pattern = { electrodeCount, terminals: listedTerminals };
		const isMixed = ownReadings(pattern).length < readingCount;
		return success({ name: isMixed ? "listed, also across bands" : "listed", ...pattern });
	}
	const refused = (reason: string): Result<never, Fault> =>
		failure({ kind: "board-refused", command: "configuration", reason });
	if (!isPairRule(drive)) return refused(`the board announces a drive that is not known here: ${drive}`);
	try {
		const pattern = createPattern(electrodeCount, drive, terminals);
		if (pattern.terminals.length === 4 * readingCount) return success(pattern);
		return refused(
			`${readingCount} readings where ${drive} ${terminals} gives ${pattern.terminals.length / 4}`,
		);
	} catch (error) {
		return refused((error as RangeError).message);
	}
}
