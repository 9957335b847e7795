/** Why a line was skipped. */
export const badLineCauses = [
	/** More bytes than `longestLine`. */
	"too-long",
	/** A byte outside printable ASCII. */
	"not-ascii",
	/** No `~` with four upper-case hexadecimal digits at its end. */
	"no-checksum",
	"bad-checksum",
	/** Well formed, but of a type this version does not know. */
	"unknown-type",
	/** A field is missing, superfluous or not written as the type asks. */
	"bad-field",
	/** A field is written well but outside what is allowed. */
	"out-of-range",
	/** Readings that are no list of numbers or no canonical base64. */
	"bad-payload",
	/** Not the number of readings, electrodes or list entries that was announced. */
	"wrong-count",
	/** Names a configuration that was not (wholly) announced. */
	"unknown-configuration",
	/** A frame that has been seen already. */
	"repeated",
] as const;

export type BadLineCause = (typeof badLineCauses)[number];

export type BadLineCounts = Record<BadLineCause, number>;

export function createBadLineCounts(): BadLineCounts {
	return Object.fromEntries(badLineCauses.map((cause) => [cause, 0])) as BadLineCounts;
}
