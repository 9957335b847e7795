/** The report's blocks, in order: each is as tall as it measures and stays whole on a page. */
import type { ComponentChildren } from "preact";
import { layOutProgress } from "../draw/progress-chart.ts";
import { ChartFrame } from "../parts/chart-frame.tsx";
import { Legend } from "../parts/legend.tsx";
import { errorWords, verdictLine } from "../parts/progress-card.tsx";
import { StillPicture } from "../parts/still-picture.tsx";
import type { AveragePictures } from "../parts/use-average-pictures.ts";
import type { Fact } from "../text/how-measured.ts";
import { formatTick, leastSpan, measureUnitText } from "../text/measure.ts";
import type { ProgressDays } from "../text/progress-days.ts";
import { formatChange } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";
import type { ReportModel, SetTable } from "./report-model.ts";

export interface ReportBlock {
	readonly id: string;
	readonly keepWithNext: boolean;
	/** For a report of one page: what is most needed has the lowest; 0 always stays. Blocks of a group share it. */
	readonly group: string;
	readonly rank: number;
	/** `isMeasured`: only its size is wanted, so pictures are left empty. `startsPage`: a table says its columns again. */
	readonly draw: (isMeasured: boolean, startsPage: boolean) => ComponentChildren;
}

export interface ReportParts {
	readonly model: ReportModel;
	readonly pictures: AveragePictures;
	readonly days: ProgressDays | null;
}

const CHART = { width: 320, height: 130, left: 44, right: 8, top: 10, bottom: 24 };
const PICTURES_IN_A_ROW = 3;

export function fullBlocks(parts: ReportParts): readonly ReportBlock[] {
	const { model } = parts;
	return [
		...section("who", "", 0, [() => <Who model={model} />]),
		...section("results", reviewWords.report.results, 0, [() => <Summary model={model} />]),
		...section("comparability", reviewWords.report.comparability, 0, [
			() => <Lines lines={model.comparability} />,
		]).filter(() => model.comparability.length > 0),
		...model.tables.flatMap((table, place) =>
			section(`table ${table.key}`, `${table.title}: ${table.prescribed}`, 0, [
				(isMeasured) => (
					<>
						<TablePictures table={table} parts={parts} isMeasured={isMeasured} />
						{place === 0 && <Scale parts={parts} />}
					</>
				),
				() => <TableRows table={table} from={0} to={2} hasHead />,
				...table.rows
					.slice(2)
					.map((_, i) => (_isMeasured: boolean, startsPage: boolean) => (
						<TableRows table={table} from={i + 2} to={i + 3} hasHead={startsPage} />
					)),
			]).map((block, i, all) => (isNearEnd(i, all.length) ? { ...block, keepWithNext: true } : block)),
		),
		...trendBlocks(parts),
		...model.notes.flatMap(({ heading, paragraphs }) =>
			section(
				`note ${heading}`,
				`${reviewWords.report.notes}: ${heading.toLowerCase()}`,
				0,
				paragraphs.map((text) => () => <Text text={text} />),
			),
		),
		...section("measured", reviewWords.report.measured, 0, [() => <Facts facts={model.measured} />]),
		...section("quality", reviewWords.report.quality, 0, [() => <Facts facts={model.quality} />]),
		...section("reading", reviewWords.report.reading, 0, [() => <Lines lines={model.reading} />]),
		...section("cautions", reviewWords.report.cautions, 0, [() => <Lines lines={model.cautions} />]),
	];
}

/** A table's last rows go overleaf together. */
function isNearEnd(index: number, count: number): boolean {
	return index >= count - 3 && index < count - 1;
}

export function onePageBlocks(parts: ReportParts): readonly ReportBlock[] {
	const { model } = parts;
	const assessed = model.notes.filter(({ heading }) =>
		[reviewWords.soap.assessment, reviewWords.soap.plan].some((name) => name === heading),
	);
	return [
		...section("who", "", 0, [() => <Who model={model} />]),
		...section("results", reviewWords.report.results, 0, [() => <Summary model={model} />]),
		...section("pictures", reviewWords.report.pictures, 2, [
			(isMeasured) => <LastPictures parts={parts} isMeasured={isMeasured} />,
		]).filter(() => model.tables.length > 0),
		...section("comparability", "", 1, [
			() => <RunIn name={reviewWords.report.comparability} text={model.comparability[0]!} />,
		]).filter(() => model.comparability.length > 0),
		...assessed.flatMap(({ heading, paragraphs }, i) =>
			section(
				`note ${heading}`,
				"",
				4 + i,
				paragraphs.map(
					(text, k) => () => (k === 0 ? <RunIn name={heading} text={text} /> : <Text text={text} />),
				),
			),
		),
		...section("measured", reviewWords.report.measured, 1, [
			() => <Facts facts={[...model.measured, ...model.quality]} isDense />,
		]),
		...section("cautions", reviewWords.report.cautions, 0, [
			() => <Lines lines={[model.cautions[0]!, model.reading[0]!]} />,
		]),
	];
}

function section(
	id: string,
	heading: string,
	rank: number,
	contents: readonly ReportBlock["draw"][],
): readonly ReportBlock[] {
	const head: ReportBlock[] =
		heading === ""
			? []
			: [
					{
						id: `${id} heading`,
						keepWithNext: true,
						group: id,
						rank,
						draw: () => <h2 class="report-heading">{heading}</h2>,
					},
				];
	return [
		...head,
		...contents.map((draw, i) => ({ id: `${id} ${i}`, keepWithNext: false, group: id, rank, draw })),
	];
}

function Text({ text }: { readonly text: string }) {
	return <p class="report-text">{text}</p>;
}

/** Its heading in the line: a single page has little room. */
function RunIn({ name, text }: { readonly name: string; readonly text: string }) {
	return (
		<p class="report-text report-run-in">
			<strong>{name}:</strong> {text}
		</p>
	);
}

function Who({ model }: { readonly model: ReportModel }) {
	return (
		<div class="report-who">
			<p class="report-kind">{reviewWords.report.heading}</p>
			<h1>{model.title}</h1>
			<dl class="report-who-facts">
				{model.who.map(({ name, value }) => (
					<div key={name}>
						<dt>{name}</dt>
						<dd>{value}</dd>
					</div>
				))}
			</dl>
			{model.goals !== "" && (
				<p class="report-text">
					<strong>{reviewWords.report.goals}:</strong> {model.goals}
				</p>
			)}
		</div>
	);
}

function Summary({ model }: { readonly model: ReportModel }) {
	if (model.summary.length === 0) return <p class="report-text">{reviewWords.report.noSets}</p>;
	const columns = reviewWords.report.summaryColumns;
	return (
		<table class="report-table report-summary">
			<thead>
				<tr>
					{columns.map((name) => (
						<th key={name} scope="col">
							{name}
						</th>
					))}
				</tr>
			</thead>
			<tbody>
				{model.summary.map((row) => (
					<tr key={row.key}>
						<th scope="row">{row.exercise}</th>
						<td>{row.sets}</td>
						<td>{row.repetitions}</td>
						<td>
							{row.hold}
							<span class="report-detail">{row.holdBand === "" ? "" : `(${row.holdBand})`}</span>
						</td>
						<td>
							{row.engagement}
							<span class="report-detail">{row.engagementBand === "" ? "" : `(${row.engagementBand})`}</span>
						</td>
						<td>
							{row.change}
							<span class="report-detail">{row.verdict}</span>
						</td>
						<td>{row.pain}</td>
						<td>{row.effort}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

/** Rows are blocks of their own, so that a long table goes on overleaf; their columns line up by fixed widths. */
function TableRows({
	table,
	from,
	to,
	hasHead,
}: {
	readonly table: SetTable;
	readonly from: number;
	readonly to: number;
	readonly hasHead: boolean;
}) {
	return (
		<table class="report-table">
			{hasHead && (
				<thead>
					<tr>
						<th scope="col">{reviewWords.review.row}</th>
						{table.columns.map((name) => (
							<th key={name} scope="col">
								{name}
							</th>
						))}
					</tr>
				</thead>
			)}
			<tbody>
				{table.rows.slice(from, to).map((row) => (
					<tr key={row.name}>
						<th scope="row">
							{row.name} <span class="report-note">{row.note}</span>
						</th>
						{row.cells.map((cell, i) => (
							<td key={table.columns[i]}>
								{cell.value} {cell.detail !== null && <span class="report-detail">{cell.detail}</span>}
							</td>
						))}
					</tr>
				))}
			</tbody>
		</table>
	);
}

function TablePictures({
	table,
	parts,
	isMeasured,
}: {
	readonly table: SetTable;
	readonly parts: ReportParts;
	readonly isMeasured: boolean;
}) {
	return (
		<div class="report-pictures">
			{table.sets.map((set) => (
				<ReportPicture
					key={set.id}
					setId={set.id}
					name={reviewWords.review.set(set.set)}
					parts={parts}
					isMeasured={isMeasured}
				/>
			))}
		</div>
	);
}

/** The last set of each exercise. */
function LastPictures({ parts, isMeasured }: { readonly parts: ReportParts; readonly isMeasured: boolean }) {
	const byExercise = new Map(
		parts.model.tables.map((table) => [table.title, { title: table.title, set: table.sets.at(-1)! }]),
	);
	return (
		<div class="report-pictures report-pictures-one-page">
			{[...byExercise.values()].slice(0, PICTURES_IN_A_ROW).map(({ title, set }) => (
				<ReportPicture
					key={set.id}
					setId={set.id}
					name={`${title}, ${reviewWords.review.set(set.set).toLowerCase()}`}
					parts={parts}
					isMeasured={isMeasured}
				/>
			))}
			<Scale parts={parts} />
		</div>
	);
}

function ReportPicture({
	setId,
	name,
	parts: { pictures },
	isMeasured,
}: {
	readonly setId: number;
	readonly name: string;
	readonly parts: ReportParts;
	readonly isMeasured: boolean;
}) {
	const picture = pictures.of(setId);
	return (
		<figure class="report-picture">
			<div class="report-picture-space">
				{!isMeasured && picture.state === "ready" && pictures.range !== null && (
					<StillPicture
						geometry={picture.geometry}
						values={picture.values}
						range={pictures.range}
						label={name}
						isOnPaper
					/>
				)}
				{picture.state === "failed" && <p class="report-note">{reviewWords.report.noPicture}</p>}
			</div>
			<figcaption>
				{name}
				{picture.state === "ready" && picture.geometry.side !== null && (
					<span class="report-detail">, {words.picture.fromFoot.toLowerCase()}</span>
				)}
			</figcaption>
		</figure>
	);
}

function Scale({ parts: { model, pictures } }: { readonly parts: ReportParts }) {
	if (pictures.range === null) return null;
	return (
		<div class="report-scale">
			<Legend scale="change" range={pictures.range} unit={model.unit} isFlat />
			<p class="report-note">
				{reviewWords.report.picturesScale(formatChange(pictures.range, model.unit).replace("+", ""))}
			</p>
		</div>
	);
}

function trendBlocks({ model, days }: ReportParts): readonly ReportBlock[] {
	if (days === null || model.trends.length + model.course.length === 0) return [];
	return section("trends", reviewWords.report.progress, 0, [
		...model.trends.map((measure) => () => {
			const { unit } = measure;
			return (
				<div class="report-trend">
					<ChartFrame
						chart={layOutProgress(measure.points, CHART, days.last, {
							leastSpan: leastSpan(unit, measure.kind),
						})}
						width={CHART.width}
						height={CHART.height}
						label={reviewWords.progress.chart(measure.name, measure.points.length)}
						yText={(value) => formatTick(value, unit)}
						xText={days.text}
					/>
					<div>
						<p>
							<strong>
								{measure.exerciseName}: {measure.name.toLowerCase()}
							</strong>
							{measureUnitText(unit, measure.kind) !== "" && ` (${measureUnitText(unit, measure.kind)})`}
						</p>
						<p>{verdictLine(measure, measure.points.length - 1, days)}</p>
						<p class="report-note">{errorWords(measure)}</p>
					</div>
				</div>
			);
		}),
		() => <Facts facts={model.course} />,
		() => <Lines lines={model.caveats} />,
	]);
}

function Facts({ facts, isDense = false }: { readonly facts: readonly Fact[]; readonly isDense?: boolean }) {
	return (
		<dl class={isDense ? "report-facts report-facts-dense" : "report-facts"}>
			{facts.map(({ name, value }) => (
				<div key={name}>
					<dt>{name}</dt>
					<dd>{value}</dd>
				</div>
			))}
		</dl>
	);
}

function Lines({ lines }: { readonly lines: readonly string[] }) {
	return (
		<ul class="report-lines">
			{lines.map((line) => (
				<li key={line}>{line}</li>
			))}
		</ul>
	);
}
