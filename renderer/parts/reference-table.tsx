import type { ReferenceRecord } from "../../app/contract.ts";
import { type ReferenceTarget, regionsOf } from "../../core/exercise/reference-target.ts";
import { personWords } from "../text/people-words.ts";
import { formatChange, formatQuantity } from "../text/quantity.ts";

/** What each region gave in a reference contraction; of regions that it does not aim at nothing is a share of it. */
export function ReferenceTable({
	target,
	unit,
	regions,
}: Pick<ReferenceRecord, "unit" | "regions"> & { readonly target: ReferenceTarget }) {
	const aimedAt = regionsOf(target);
	const isAim = ({ id }: { readonly id: string }) => aimedAt.includes(id);
	const ordered = [...regions.filter(isAim), ...regions.filter((region) => !isAim(region))];
	return (
		<table class="plain-table">
			<thead>
				<tr>
					<th scope="col">{personWords.region}</th>
					<th scope="col" class="number">
						{personWords.referenceChange}
					</th>
					<th scope="col" class="number">
						{personWords.repeatability}
					</th>
					<th scope="col" />
				</tr>
			</thead>
			<tbody>
				{ordered.map(({ id, name, reference }) => (
					<tr key={id} class={aimedAt.includes(id) ? "" : "beside-aim"}>
						<th scope="row">{name}</th>
						{aimedAt.includes(id) ? (
							<ReferenceCells unit={unit} reference={reference} />
						) : (
							<BesideCells unit={unit} reference={reference} />
						)}
					</tr>
				))}
			</tbody>
		</table>
	);
}

interface CellsProps {
	readonly unit: ReferenceRecord["unit"];
	readonly reference: ReferenceRecord["regions"][number]["reference"];
}

function BesideCells({ unit, reference }: CellsProps) {
	return (
		<>
			<td class="number figures">
				{reference.state === "taken" ? formatChange(reference.change, unit) : "–"}
			</td>
			<td colSpan={2} class="fact-note">
				{personWords.besideAim}
			</td>
		</>
	);
}

function ReferenceCells({ unit, reference }: CellsProps) {
	switch (reference.state) {
		case "none":
			return <td colSpan={3}>{personWords.notTaken}</td>;
		case "not-detected":
			return (
				<td colSpan={3} class="not-detected">
					<strong>{personWords.notDetected}</strong>
					<span class="fact-note">
						{reference.reason === "within-noise" ? personWords.withinNoise : personWords.directionsDiffer}
					</span>
				</td>
			);
		case "taken":
			return (
				<>
					<td class="number figures">{formatChange(reference.change, unit)}</td>
					<td class="number figures">
						{reference.variationPercent === null ? "–" : formatQuantity(reference.variationPercent, 0, "%")}
					</td>
					<td>
						{reference.repeatability === "not-repeatable" ? (
							<span class="tag tag-caution">{personWords.notRepeatable}</span>
						) : (
							<span class="fact-note">
								{reference.repeatability === "repeatable" ? personWords.repeatable : personWords.single}
							</span>
						)}
					</td>
				</>
			);
	}
}
