/** One exercise of a session: its sets side by side, each with its averaged picture and its figures. */
import { useState } from "preact/hooks";
import type { SessionReview, SetRecord } from "../../app/contract.ts";
import type { ExerciseGroup } from "../text/objective.ts";
import { formatChange, formatClock, formatQuantity, type Unit } from "../text/quantity.ts";
import { regionWords, reviewWords } from "../text/review-words.ts";
import { type SetMeasureId, setMeasures, setMeasureWords } from "../text/set-measures.ts";
import { words } from "../text/words.ts";
import { CorrectCount } from "./correct-count.tsx";
import { Icon } from "./icon.tsx";
import { Legend } from "./legend.tsx";
import { FaultNote } from "./notes.tsx";
import { StillPicture } from "./still-picture.tsx";
import type { AveragePictures } from "./use-average-pictures.ts";

const order = Object.keys(setMeasureWords) as SetMeasureId[];

export function ExerciseReview({
	group,
	review,
	pictures,
	onGoTo,
	onCorrected,
}: {
	readonly group: ExerciseGroup;
	readonly review: SessionReview;
	readonly pictures: AveragePictures;
	/** Moves the picture and the lines above to a time. */
	readonly onGoTo: (seconds: number) => void;
	readonly onCorrected: () => void;
}) {
	const [correcting, setCorrecting] = useState<SetRecord | null>(null);
	const unit: Unit = review.measured.pictures[0]?.unit ?? "S/m";
	const { sets } = group;
	const { item } = sets[0]!;
	const isRaw = sets.some(({ summary }) => summary?.unit === "raw");
	const { exercise, dose } = item;
	const measures = sets.map((set) => new Map(setMeasures(set, unit).map((entry) => [entry.id, entry])));
	const rows = order.filter((id) => measures.some((of) => of.has(id)));
	return (
		<section class="panel exercise-review" aria-label={exercise.name}>
			<header class="panel-head">
				<div>
					<h2>{exercise.name}</h2>
					<p class="panel-sub">
						{item.side === "left" ? words.picture.leftThigh : words.picture.rightThigh} ·{" "}
						{reviewWords.review.prescribed(
							dose.sets,
							dose.repetitions,
							dose.holdSeconds,
							dose.target.low,
							dose.target.high,
						)}{" "}
						· {countedWords(sets[0]!, review)}
					</p>
					{isRaw && <p class="panel-sub">{reviewWords.review.noReference}</p>}
				</div>
			</header>
			<div class="set-body">
				<div class="set-pictures">
					{sets.map((set) => (
						<div key={set.id} class="set-picture-place">
							{sets.length > 1 && <p class="set-picture-name">{reviewWords.review.set(set.set)}</p>}
							<SetPictureBox set={set} pictures={pictures} unit={unit} />
						</div>
					))}
					{pictures.range !== null && (
						<div class="set-legend">
							<Legend scale="change" range={pictures.range} unit={unit} />
						</div>
					)}
				</div>
				<table class="set-table">
					<thead class="set-head">
						<tr>
							<th scope="col">
								<span class="visually-hidden">{reviewWords.review.row}</span>
							</th>
							{sets.map((set) => (
								<th key={set.id} scope="col">
									<button
										type="button"
										class="set-go"
										title={reviewWords.review.goTo(reviewWords.review.set(set.set))}
										onClick={() => onGoTo(set.startSeconds)}
									>
										{reviewWords.review.set(set.set)}{" "}
										<span class="fact-note figures">
											{formatClock(set.startSeconds)} to {formatClock(set.endSeconds)}
										</span>
									</button>
								</th>
							))}
						</tr>
					</thead>
					<tbody>
						{rows.map((id) => (
							<tr key={id}>
								<th scope="row" class="set-row-head">
									{setMeasureWords[id].name}
									<span class="set-note">{setMeasureWords[id].note}</span>
								</th>
								{sets.map((set, i) => {
									const measure = measures[i]!.get(id);
									return (
										<td key={set.id}>
											<span class="figures set-value">{measure?.value ?? "–"}</span>
											{measure?.detail != null && <span class="set-detail figures">{measure.detail}</span>}
											{id === "count" && (
												<button
													type="button"
													class="button button-quiet button-small set-correct"
													aria-label={reviewWords.correction.title(reviewWords.review.set(set.set))}
													onClick={() => setCorrecting(set)}
												>
													{reviewWords.review.correctShort}
												</button>
											)}
										</td>
									);
								})}
							</tr>
						))}
					</tbody>
				</table>
			</div>
			{correcting !== null && (
				<CorrectCount
					set={correcting}
					name={reviewWords.review.setName(exercise.name, correcting.set)}
					onClose={() => setCorrecting(null)}
					onDone={() => {
						setCorrecting(null);
						onCorrected();
					}}
				/>
			)}
		</section>
	);
}

/** The averaged picture of a set, or what keeps it. */
export function SetPictureBox({
	set,
	pictures,
	unit,
	mirrored = false,
	range = pictures.range,
}: {
	readonly set: SetRecord;
	readonly pictures: AveragePictures;
	readonly unit: Unit;
	readonly mirrored?: boolean;
	/** Where several sessions share a scale. */
	readonly range?: number | null;
}) {
	const picture = pictures.of(set.id);
	const name = reviewWords.review.setName(set.item.exercise.name, set.set);
	if (picture.state === "failed") return <FaultNote fault={picture.fault} />;
	if (picture.state !== "ready" || range === null) {
		return (
			<div class="still-picture still-waiting" role="status">
				<p>
					{picture.state === "loading" ? reviewWords.review.pictureLoading : reviewWords.review.pictureWaits}
				</p>
			</div>
		);
	}
	return (
		<figure class="set-picture">
			<StillPicture
				geometry={picture.geometry}
				values={picture.values}
				range={range}
				mirrored={mirrored}
				label={reviewWords.review.pictureLabel(name, formatChange(range, unit))}
			/>
			<figcaption>
				{reviewWords.review.pictureMean(picture.frames, formatQuantity(picture.seconds, 1, "s"))}
				{picture.geometry.side !== null &&
					`; ${(mirrored ? words.picture.fromHip : words.picture.fromFoot).toLowerCase()}`}
			</figcaption>
		</figure>
	);
}

export function countedWords(set: SetRecord, review: Pick<SessionReview, "references">): string {
	if (set.countedIn === null) return reviewWords.review.countedByPerson;
	const region = review.references
		.flatMap(({ regions }) => regions)
		.find((candidate) => candidate.id === set.countedIn);
	return reviewWords.review.countedIn((region?.name ?? regionWords(set.countedIn)).toLowerCase());
}

export function SameScaleNote() {
	return (
		<p class="field-hint same-scale">
			<Icon name="info" /> {reviewWords.review.sameScale}. {reviewWords.review.engagementIs}
		</p>
	);
}
