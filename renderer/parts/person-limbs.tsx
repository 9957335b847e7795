import type { LimbRecord, LimbSetup } from "../../app/contract.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { hashOf } from "../route.ts";
import { personWords } from "../text/people-words.ts";
import { formatDay, formatQuantity } from "../text/quantity.ts";
import { EmptyNote } from "./notes.tsx";

/** Thigh measurements over time, newest first, each against the one before it on the same side. */
export function PersonLimbs({
	personId,
	limbs,
}: {
	readonly personId: number;
	readonly limbs: readonly LimbRecord[];
}) {
	const measure = hashOf({ screen: "set-up", personId });
	const rows = limbs.map((limb) => ({ limb, around: centimetresAround(limb.setup) }));
	return (
		<section class="panel form-section" aria-label={personWords.limbs}>
			<div class="panel-line">
				<h2>{personWords.limbs}</h2>
				{limbs.length > 0 && (
					<a class="button button-small" href={measure}>
						{personWords.measureAgain}
					</a>
				)}
			</div>
			{limbs.length === 0 ? (
				<EmptyNote title={personWords.noLimbs} text={personWords.noLimbsText}>
					<a class="button" href={measure}>
						{personWords.measure}
					</a>
				</EmptyNote>
			) : (
				<table class="plain-table">
					<thead>
						<tr>
							<th scope="col">{personWords.columnDate}</th>
							<th scope="col">{personWords.columnSide}</th>
							<th scope="col" class="number">
								{personWords.columnAround}
							</th>
							<th scope="col" class="number">
								{personWords.columnChange}
							</th>
							<th scope="col" class="number">
								{personWords.columnFat}
							</th>
							<th scope="col" class="number">
								{personWords.columnLevel}
							</th>
						</tr>
					</thead>
					<tbody>
						{rows.map(({ limb: { id, measuredAt, setup }, around }, i) => {
							const before = rows.slice(i + 1).find(({ limb }) => limb.setup.side === setup.side);
							return (
								<tr key={id}>
									<th scope="row">{formatDay(measuredAt)}</th>
									<td>{personWords.sides[setup.side]}</td>
									<td class="number figures">{formatQuantity(around, 1, "cm")}</td>
									<td class="number figures">
										{before === undefined ? "–" : formatQuantity(around - before.around, 1, "cm")}
									</td>
									<td class="number figures">{formatQuantity(1000 * setup.fatThickness, 0, "mm")}</td>
									<td class="number figures">{formatQuantity(100 * setup.level, 0, "%")}</td>
								</tr>
							);
						})}
					</tbody>
				</table>
			)}
		</section>
	);
}

function centimetresAround({ outline }: LimbSetup): number {
	return 100 * createOutline(outline).circumference;
}
