import type { RegionReference } from "./engagement.ts";
import { muscleRegions, quadriceps } from "./exercise.ts";

/**
 * Which muscles a reference contraction aims at. A muscle's signal is normalised to a contraction in which that muscle is
 * the one that works: M. Besomi et al., "CEDE amplitude normalization matrix", J. Electromyogr. Kinesiol. 53:102438, 2020.
 * For the hamstrings as antagonists of knee extension that is an effort of their own, knee flexion: E. Kellis,
 * "Quantification of quadriceps and hamstring antagonist activity", Sports Med. 25:37, 1998 (from memory). Normalised by
 * an effort of the quadriceps, in which they work along a little, their share would be near that of the quadriceps in
 * everybody who does another such effort, and the ratio of the two near one, whatever the person does.
 */
export const referenceTargets = ["quadriceps", "hamstrings"] as const;
export type ReferenceTarget = (typeof referenceTargets)[number];

const hamstrings: readonly string[] = [muscleRegions.hamstrings];

/** The reference contraction that a region's engagement is a share of; null where none aims at it. */
export function targetOf(regionId: string): ReferenceTarget | null {
	if (quadriceps.includes(regionId)) return "quadriceps";
	return hamstrings.includes(regionId) ? "hamstrings" : null;
}

/** Ids of the regions that a reference contraction aims at. */
export function regionsOf(target: ReferenceTarget): readonly string[] {
	return target === "quadriceps" ? quadriceps : hamstrings;
}

/** What a reference contraction gave in each region, whether it aimed at it or not. */
export interface TakenReference {
	readonly regions: readonly { readonly id: string; readonly reference: RegionReference }[];
}

/** The newest that fits, of each target; null where none does. */
export type TakenReferences = Readonly<Record<ReferenceTarget, TakenReference | null>>;

/** One for each region: of the reference contraction that aims at it, and of no other. */
export function referencesInForce(regionIds: readonly string[], taken: TakenReferences): RegionReference[] {
	return regionIds.map((id) => {
		const target = targetOf(id);
		const region = target === null ? undefined : taken[target]?.regions.find((one) => one.id === id);
		return region?.reference ?? { state: "none" };
	});
}

/** Ids of the references that numbers are shares of; null for none. */
export interface ReferenceIds {
	/** The quadriceps'. */
	readonly referenceId: number | null;
	readonly hamstringReferenceId: number | null;
}

export function referenceIdOf(ids: ReferenceIds, regionId: string): number | null {
	switch (targetOf(regionId)) {
		case "quadriceps":
			return ids.referenceId;
		case "hamstrings":
			return ids.hamstringReferenceId;
		case null:
			return null;
	}
}

/** Leaves out references that a number does not depend on: taking one of those anew must not break its line. */
export function withReferencesOf<T extends ReferenceIds>(ids: T, targets: readonly ReferenceTarget[]): T {
	return {
		...ids,
		referenceId: targets.includes("quadriceps") ? ids.referenceId : null,
		hamstringReferenceId: targets.includes("hamstrings") ? ids.hamstringReferenceId : null,
	};
}
