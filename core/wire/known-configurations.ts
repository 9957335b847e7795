import type { BadLineCause } from "./bad-line.ts";
import type { DriveConfiguration, Frame } from "./frame.ts";
import { mostElectrodes } from "./limits.ts";
import type { LineFields } from "./line-fields.ts";
import { isSameDrive } from "./same-drive.ts";

/** A configuration with the frame that its frames are read into. */
export interface KnownConfiguration {
	readonly configuration: DriveConfiguration;
	/** Readings of its list that have arrived, in order; all of them for a named drive. */
	listed: number;
	readonly frame: { -readonly [K in keyof Frame]: Frame[K] };
}

/** Whether everything about it has been told, so that its frames can be read. */
export function isWhole(known: KnownConfiguration): boolean {
	return known.listed === known.configuration.readingCount;
}

/** A change of settings is told while frames of the one before may still be on their way; more are not kept. */
const mostKept = 4;

/** The latest configurations of one band. */
export class KnownConfigurations {
	/** Newest last. */
	readonly #kept: KnownConfiguration[] = [];

	/** Allocates nothing. */
	find(number: number): KnownConfiguration | null {
		for (let i = this.#kept.length - 1; i >= 0; i--) {
			if (this.#kept[i]!.configuration.configuration === number) return this.#kept[i]!;
		}
		return null;
	}

	get newest(): DriveConfiguration | null {
		return this.#kept.at(-1)?.configuration ?? null;
	}

	/** @returns whether it is whole and says something new, so that it should be told. */
	add(configuration: DriveConfiguration): boolean {
		const known = this.find(configuration.configuration);
		if (known !== null && sameSettings(known.configuration, configuration)) {
			// Announced again, for those who missed it: a list that was interrupted begins anew.
			if (!isWhole(known)) known.listed = 0;
			return false;
		}
		if (known !== null) this.#kept.splice(this.#kept.indexOf(known), 1);
		if (this.#kept.length === mostKept) this.#kept.shift();
		const { bandIndex, readingCount, listedTerminals } = configuration;
		const isNamed = listedTerminals === null;
		const values = new Float64Array(readingCount);
		const frame = {
			bandIndex,
			sequence: 0,
			timeMicros: 0,
			configuration: configuration.configuration,
			values,
		};
		this.#kept.push({ configuration, listed: isNamed ? readingCount : 0, frame });
		return isNamed;
	}

	clear(): void {
		this.#kept.length = 0;
	}
}

/** Reads the list of an `R` line into its configuration. A list that is whole already is checked but not changed. */
export function readListLine(
	fields: LineFields,
	known: KnownConfiguration,
	first: number,
): BadLineCause | null {
	const { listedTerminals: list, electrodeCount, bandIndex } = known.configuration;
	if (list === null) return "unknown-configuration";
	const isNext = !isWhole(known) && first === known.listed;
	const start = 4 * first;
	let at = start;
	while (fields.hasEntry()) {
		const electrode = fields.electrodeEntry(bandIndex);
		if (fields.failed) return "bad-payload";
		if (fields.outOfRange || (electrode >= electrodeCount && electrode < mostElectrodes))
			return "out-of-range";
		if (at >= list.length) return "wrong-count";
		if (isNext) list[at] = electrode;
		at++;
	}
	if (at === start || at % 4 !== 0) return "wrong-count";
	if (!isNext) return isWhole(known) ? null : "wrong-count";
	if (hasSelfPair(list, start, at)) return "out-of-range";
	known.listed = at / 4;
	return null;
}

/** Whether a reading drives or reads an electrode against itself. */
function hasSelfPair(list: Uint16Array, start: number, end: number): boolean {
	for (let i = start; i < end; i += 2) if (list[i] === list[i + 1]) return true;
	return false;
}

function sameSettings(a: DriveConfiguration, b: DriveConfiguration): boolean {
	return isSameDrive(a, b) && a.fullScale === b.fullScale;
}
