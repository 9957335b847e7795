import type { ReferenceRecord } from "../../app/contract.ts";
import { personWords } from "../text/people-words.ts";
import { formatChange, formatQuantity } from "../text/quantity.ts";

/** What each region gave in a reference contraction. */
export function ReferenceTable({ unit, regions }: Pick<ReferenceRecord, "unit" | "regions">) {
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
				{regions.map(({ id, name, reference }) => (
					<tr key={id}>
						<th scope="row">{name}</th>
						<ReferenceCells unit={unit} reference={reference} />
					</tr>
				))}
			</tbody>
		</table>
	);
}

function ReferenceCells({
	unit,
	reference,
}: {
	readonly unit: ReferenceRecord["unit"];
	readonly reference: ReferenceRecord["regions"][number]["reference"];
}) {
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
