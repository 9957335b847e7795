import type { PersonRecord, ReferenceRecord } from "../../app/contract.ts";
import { referenceTargets } from "../../core/exercise/reference-target.ts";
import { hashOf } from "../route.ts";
import { personWords, renewWords } from "../text/people-words.ts";
import { formatDateTime } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { EmptyNote } from "./notes.tsx";
import { ReferenceTable } from "./reference-table.tsx";

/** The newest reference contraction of each leg and of front and back of the thigh, with its repeatability; older ones
 *  behind a line. */
export function PersonReferences({
	personId,
	references,
	renewals,
	canTake,
}: {
	readonly personId: number;
	readonly references: readonly ReferenceRecord[];
	readonly renewals: PersonRecord["renewals"];
	readonly canTake: boolean;
}) {
	const isSameKind = (a: ReferenceRecord, b: ReferenceRecord): boolean =>
		a.conditions.side === b.conditions.side && a.protocol.target === b.protocol.target;
	const newest = references.filter(
		(reference, i) => references.findIndex((other) => isSameKind(other, reference)) === i,
	);
	const legs = [...new Set(newest.map(({ conditions }) => conditions.side))];
	const lacking = legs.flatMap((side) =>
		referenceTargets
			.filter(
				(target) =>
					!newest.some(({ conditions, protocol }) => conditions.side === side && protocol.target === target),
			)
			.map((target) => personWords.lackingReference(side, target)),
	);
	const older = references.filter((reference) => !newest.includes(reference));
	return (
		<section class="panel form-section" aria-label={personWords.references}>
			<div class="panel-line">
				<div>
					<h2>{personWords.references}</h2>
					<p class="panel-sub">{personWords.referencesText}</p>
				</div>
				{references.length > 0 && canTake && (
					<a class="button button-small" href={hashOf({ screen: "reference", personId })}>
						{personWords.reference}
					</a>
				)}
			</div>
			{references.length === 0 && (
				<EmptyNote title={personWords.noReference} text={personWords.noReferenceText}>
					{canTake && (
						<a class="button" href={hashOf({ screen: "reference", personId })}>
							{personWords.reference}
						</a>
					)}
				</EmptyNote>
			)}
			{newest.map((reference) => (
				<ReferenceEntry
					key={reference.id}
					reference={reference}
					reasons={renewals.find(({ referenceId }) => referenceId === reference.id)?.reasons ?? []}
				/>
			))}
			{lacking.map((line) => (
				<p key={line} class="panel-sub">
					{line}
				</p>
			))}
			{older.length > 0 && (
				<details class="more">
					<summary>{personWords.older(older.length)}</summary>
					{older.map((reference) => (
						<ReferenceEntry key={reference.id} reference={reference} />
					))}
				</details>
			)}
		</section>
	);
}

function ReferenceEntry({
	reference,
	reasons = [],
}: {
	readonly reference: ReferenceRecord;
	/** Why it is to be taken anew; empty if it is not. */
	readonly reasons?: PersonRecord["renewals"][number]["reasons"];
}) {
	const { conditions, protocol, takenAt, regions, unit } = reference;
	return (
		<div class="reference-entry">
			<h3>
				{conditions.side === "left" ? words.picture.leftThigh : words.picture.rightThigh},{" "}
				{personWords.targets[protocol.target]}
				<span class="fact-note">
					{formatDateTime(takenAt)}, {protocol.contractions} × {protocol.contractionSeconds} s,{" "}
					{personWords.efforts[protocol.effort]}
				</span>
				{conditions.simulated && <span class="tag tag-simulated tag-after">{personWords.simulated}</span>}
			</h3>
			{reasons.length > 0 && <p class="note note-caution">{renewWords(reasons)}</p>}
			<ReferenceTable target={protocol.target} unit={unit} regions={regions} />
		</div>
	);
}
