import type { StoredConfiguration } from "../store/records.ts";
import { isSameConfiguration, isSameList } from "./live-band.ts";

/** A board that starts again gives its settings another number: what was measured with one holds for the other.
 *  @returns tells of a configuration's id the first one of the session that is the same */
export function sameConfigurations(
	configurations: readonly StoredConfiguration[],
): (configurationId: number) => number {
	const sameAs = new Map(
		configurations.map((configuration) => [
			configuration.id,
			configurations.find(
				(other) =>
					other.bandIndex === configuration.bandIndex &&
					isSameConfiguration(other, configuration) &&
					isSameList(other.readingCurrentAmpere, configuration.readingCurrentAmpere),
			)?.id ?? configuration.id,
		]),
	);
	return (configurationId) => sameAs.get(configurationId) ?? configurationId;
}
