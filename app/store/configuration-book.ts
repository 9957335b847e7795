import type { NewConfiguration } from "./records.ts";

export interface KeptConfiguration {
	/** Counts within the session, from 1. */
	readonly id: number;
	readonly given: NewConfiguration;
}

function sameNumbers(a: ArrayLike<number> | null, b: ArrayLike<number> | null): boolean {
	if (a === null || b === null) return a === b;
	if (a.length !== b.length) return false;
	for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
	return true;
}

function sameConfiguration(a: NewConfiguration, b: NewConfiguration): boolean {
	return (
		a.bandIndex === b.bandIndex &&
		a.configuration === b.configuration &&
		a.electrodeCount === b.electrodeCount &&
		a.drive === b.drive &&
		a.terminals === b.terminals &&
		a.currentMilliamp === b.currentMilliamp &&
		a.frequencyHertz === b.frequencyHertz &&
		a.gain === b.gain &&
		a.voltsPerUnit === b.voltsPerUnit &&
		a.fullScale === b.fullScale &&
		sameNumbers(a.pattern, b.pattern) &&
		sameNumbers(a.readingCurrentAmpere, b.readingCurrentAmpere)
	);
}

/** Which configuration a band and the number that the board gave it stand for now. */
export class ConfigurationBook {
	readonly #newest = new Map<number, KeptConfiguration>();
	#count = 0;

	/** A number, so that looking up makes no string for each frame. */
	static #key(bandIndex: number, wireNumber: number): number {
		return wireNumber * 4 + bandIndex;
	}

	/** Copies it. @returns what is new, or null when it is known and unchanged. */
	add(given: NewConfiguration): KeptConfiguration | null {
		const key = ConfigurationBook.#key(given.bandIndex, given.configuration);
		const before = this.#newest.get(key);
		if (before !== undefined && sameConfiguration(before.given, given)) return null;
		this.#count++;
		const copy = {
			...given,
			pattern: given.pattern.slice(),
			readingCurrentAmpere: given.readingCurrentAmpere?.slice() ?? null,
		};
		const added = { id: this.#count, given: copy };
		this.#newest.set(key, added);
		return added;
	}

	/** @throws RangeError when the band was never told of that number. */
	find(bandIndex: number, wireNumber: number): KeptConfiguration {
		const found = this.#newest.get(ConfigurationBook.#key(bandIndex, wireNumber));
		if (found !== undefined) return found;
		throw new RangeError(`recorder: band ${bandIndex} has no configuration ${wireNumber}`);
	}
}
