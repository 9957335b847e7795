/** Regions of the atlas that are several muscles, for sentences about them: Latin singulars end in -s, too. */
const several: ReadonlySet<string> = new Set(["Adductors", "Hamstrings"]);

export function isSeveral(region: string): boolean {
	return several.has(region);
}
