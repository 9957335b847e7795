import type { PlanItem } from "../../core/exercise/plan.ts";
import { targetOf } from "../../core/exercise/reference-target.ts";
import { hashOf } from "../route.ts";
import { personWords, renewWords } from "../text/people-words.ts";
import { useLoaded } from "./use-request.ts";

/** Quietly, before an exercise at the clinic: its reference contraction is to be taken anew. Asked once the band is on,
 *  for it depends on what is measured with. */
export function ReferenceRenewal({ personId, item }: { readonly personId: number; readonly item: PlanItem }) {
	const loaded = useLoaded("getPerson", { personId }, `person ${personId} ${item.side} ${item.exercise.id}`);
	if (loaded.state !== "ready") return null;
	const { references, renewals } = loaded.value;
	const target = targetOf(item.exercise.targetRegions[0]!);
	const newest = references.find(
		({ conditions, protocol }) => conditions.side === item.side && protocol.target === target,
	);
	const renewal = renewals.find(({ referenceId }) => referenceId === newest?.id);
	if (renewal === undefined) return null;
	return (
		<p class="panel-sub">
			{personWords.renewal(renewWords(renewal.reasons))}{" "}
			<a href={hashOf({ screen: "reference", personId })}>{personWords.reference}</a>
		</p>
	);
}
