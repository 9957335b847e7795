/** The second step of a board profile: how a line falls into fields, and what they hold. */
import { useState } from "preact/hooks";
import type { Column, PayloadNumber } from "../../core/wire/profile/board-profile.ts";
import { payloadNumbers } from "../../core/wire/profile/board-profile.ts";
import { type SeenLine, seeFields } from "../../core/wire/profile/seen-fields.ts";
import {
	type CutKind,
	type DraftErrors,
	foundReadings,
	guessRanges,
	lineOf,
	type ProfileDraft,
	type Role,
	rangesText,
	readRanges,
	roleOf,
	type Separator,
	seenLines,
	usualLine,
	withCut,
	withReadingRun,
	withRole,
} from "../profile-draft.ts";
import { columnName, profileErrors, profileWords as text } from "../text/profile-words.ts";
import { Choice } from "./choice.tsx";
import { AreaField, SelectField, TextField } from "./field.tsx";
import { Icon } from "./icon.tsx";
import { ProfileRuler } from "./profile-ruler.tsx";

const shownLines = 6;
const shownFields = 40;
const sampledLines = 60;
/** Without a line to look at, a line may have as many. */
const anyFields = Array.from({ length: 8192 }, (_, field) => field);

interface StepProps {
	readonly draft: ProfileDraft;
	readonly errors: DraftErrors;
	readonly onChange: (draft: ProfileDraft, key?: string) => void;
}

export function ProfileFields({ draft, errors, onChange }: StepProps) {
	const lines = seenLines(draft, sampledLines);
	const usual = usualLine(lines);
	return (
		<>
			<CutFields draft={draft} errors={errors} usual={usual} onChange={onChange} />
			{lines.length === 0 ? (
				<p class="note">
					<Icon name="info" />
					<span>{text.emptySample}</span>
				</p>
			) : (
				<SeenLines draft={draft} lines={lines.slice(0, shownLines)} />
			)}
			{usual !== null ? (
				<FieldTable draft={draft} lines={lines} usual={usual} onChange={onChange} />
			) : (
				draft.cut !== "keyed" && <RunFields draft={draft} order={anyFields} onChange={onChange} />
			)}
			{errors.readings !== undefined && <p class="field-error">{errors.readings}</p>}
			<Summary draft={draft} />
			{draft.payload !== null && <PayloadFields draft={draft} onChange={onChange} />}
			<MoreFields draft={draft} errors={errors} onChange={onChange} />
		</>
	);
}

const cuts = ["separated", "keyed", "fixed-columns"] as const;

function CutFields({ draft, errors, usual, onChange }: StepProps & { readonly usual: SeenLine | null }) {
	const { cut, separator } = draft;
	const takesComma = cut === "fixed-columns" || separator !== ",";
	function changeCut(next: CutKind): void {
		const ranges =
			next === "fixed-columns" && draft.ranges.length === 0 ? guessRanges(draft.sample) : draft.ranges;
		onChange(withCut(draft, { cut: next, ranges }));
	}
	return (
		<>
			<div class="form-grid">
				<Choice
					label={text.cut}
					isLabelShown
					options={cuts.map((value) => ({ value, text: text.cuts[value] }))}
					value={cut}
					onChoose={changeCut}
				/>
			</div>
			<div class="form-grid form-grid-narrow">
				{cut !== "fixed-columns" && (
					<SelectField
						label={text.separator}
						value={separator}
						options={Object.entries(text.separators).map(([value, shown]) => ({
							value: value as Separator,
							text: shown,
						}))}
						onChoose={(value) => onChange(withCut(draft, { separator: value }))}
					/>
				)}
				{cut === "keyed" && (
					<SelectField
						label={text.assign}
						value={draft.assign}
						options={[
							{ value: "=", text: "=" },
							{ value: ":", text: ":" },
						]}
						onChoose={(assign) => onChange(withCut(draft, { assign }))}
					/>
				)}
				<SelectField
					label={text.decimalMark}
					hint={takesComma ? undefined : text.noDecimalComma}
					value={draft.hasDecimalComma && takesComma ? "comma" : "point"}
					isDisabled={!takesComma}
					options={[
						{ value: "point", text: text.decimalPoint },
						{ value: "comma", text: text.decimalComma },
					]}
					onChoose={(value) => onChange(withCut(draft, { hasDecimalComma: value === "comma" }))}
				/>
				<TextField
					label={text.prefix}
					hint={text.prefixHint}
					value={draft.prefix}
					onInput={(prefix) => onChange(withCut(draft, { prefix: prefix.slice(0, 80) }), "prefix")}
				/>
			</div>
			{cut === "fixed-columns" && (
				<FixedColumns draft={draft} error={errors.ranges ?? null} usual={usual} onChange={onChange} />
			)}
		</>
	);
}

function FixedColumns({
	draft,
	error,
	usual,
	onChange,
}: Omit<StepProps, "errors"> & { readonly error: string | null; readonly usual: SeenLine | null }) {
	/** As it was typed; it counts while it means the columns that are in use, or nothing yet. */
	const [typed, setTyped] = useState<string | null>(null);
	const meant = typed === null ? null : readRanges(typed);
	const inUse = rangesText(draft.ranges);
	const isWrong = typed !== null && meant === null;
	const isTyped = isWrong || (meant !== null && rangesText(meant) === inUse);
	return (
		<>
			<TextField
				label={text.columns}
				hint={text.columnsHint}
				value={isTyped && typed !== null ? typed : inUse}
				error={isWrong ? profileErrors.rangesText : error}
				onInput={(entered) => {
					setTyped(entered);
					const ranges = readRanges(entered);
					if (ranges !== null) onChange(withCut(draft, { ranges }), "ranges");
				}}
			/>
			{usual !== null && (
				<ProfileRuler
					line={usual.text.slice(draft.prefix.length)}
					ranges={draft.ranges}
					onChange={(ranges, key) => {
						setTyped(null);
						onChange(withCut(draft, { ranges }), key);
					}}
				/>
			)}
		</>
	);
}

function SeenLines({ draft, lines }: { readonly draft: ProfileDraft; readonly lines: readonly SeenLine[] }) {
	return (
		<div class="field">
			<p class="field-label">{text.seenLines}</p>
			<ul class="role-key" aria-hidden="true">
				{roles
					.filter((role) => role !== "payload" || draft.payload !== null)
					.map((role) => (
						<li key={role} class={`role role-${role}`}>
							{text.roles[role]}
						</li>
					))}
			</ul>
			<ol class="seen-lines" aria-label={text.seenLines}>
				{lines.map((line) => (
					<li key={line.number} class="seen-line">
						<span class="seen-number figures">{line.number}</span>
						{line.kind === "skipped" ? <SkippedLine line={line} /> : <DataLine draft={draft} line={line} />}
					</li>
				))}
			</ol>
		</div>
	);
}

function SkippedLine({ line }: { readonly line: SeenLine }) {
	return (
		<>
			<span class="tag">{text.skipped}</span>
			<span class="seen-skipped">{line.text.slice(0, 300)}</span>
		</>
	);
}

function DataLine({ draft, line }: { readonly draft: ProfileDraft; readonly line: SeenLine }) {
	const shown = line.fields.slice(0, shownFields);
	const hidden = line.fields.length - shown.length;
	const starts = shown.map((_, i) => (i === 0 ? 0 : shown[i - 1]!.to));
	return (
		<span>
			{shown.map(({ column, from, to, text: value }, i) => (
				<span key={from}>
					<span class="seen-between">{line.text.slice(starts[i], from).slice(-80)}</span>
					<span class={`role role-${roleOf(draft, column)}`} title={columnName(column)}>
						{value.length > 80 ? `${value.slice(0, 80)}…` : line.text.slice(from, to)}
					</span>
				</span>
			))}
			{hidden > 0 && <span class="seen-between"> {text.moreFields(hidden)}</span>}
		</span>
	);
}

const roles: readonly Role[] = ["reading", "time", "counter", "row", "payload", "none"];
const rowsPerPage = 12;

function FieldTable({
	draft,
	lines,
	usual,
	onChange,
}: {
	readonly draft: ProfileDraft;
	readonly lines: readonly SeenLine[];
	readonly usual: SeenLine;
	readonly onChange: (draft: ProfileDraft, key?: string) => void;
}) {
	const [page, setPage] = useState(0);
	const order = usual.fields.map(({ column }) => column);
	const pages = Math.max(1, Math.ceil(order.length / rowsPerPage));
	const current = Math.min(page, pages - 1);
	const first = current * rowsPerPage;
	const shown = order.slice(first, first + rowsPerPage);
	const samples = lines
		.filter(({ kind, fields }) => kind === "data" && fields.length === order.length)
		.slice(0, 4);
	const names = headingOf(draft, lines, order);
	const numberOf = new Map(draft.readings.map((column, i) => [column, i + 1]));
	return (
		<div class="field">
			<div class="panel-line">
				<p class="field-label">{text.fieldTable}</p>
				{pages > 1 && (
					<div class="button-row">
						<button
							type="button"
							class="button button-small"
							disabled={current === 0}
							aria-label={text.previousPage}
							onClick={() => setPage(current - 1)}
						>
							<Icon name="left" />
						</button>
						<span class="figures" role="status">
							{text.page(first + 1, first + shown.length, order.length)}
						</span>
						<button
							type="button"
							class="button button-small"
							disabled={current === pages - 1}
							aria-label={text.nextPage}
							onClick={() => setPage(current + 1)}
						>
							<Icon name="right" />
						</button>
					</div>
				)}
			</div>
			<div class="field-table-scroll">
				<table class="field-table">
					<thead>
						<tr>
							<th scope="col">{text.field}</th>
							<th scope="col">{text.heading}</th>
							<th scope="col">{text.role}</th>
							<th scope="col" colSpan={Math.max(1, samples.length)}>
								{text.samples}
							</th>
						</tr>
					</thead>
					<tbody>
						{shown.map((column, i) => {
							const role = roleOf(draft, column);
							const name = columnName(column);
							return (
								<tr key={name} class={`role-${role}`}>
									<th scope="row" class="figures">
										{first + i + 1}
									</th>
									<td>{typeof column === "string" ? column : (names?.[first + i] ?? "")}</td>
									<td>
										<select
											class="input input-small"
											aria-label={text.roleOf(name)}
											value={role}
											onChange={(event) => {
												const chosen = roles[event.currentTarget.selectedIndex];
												if (chosen !== undefined) onChange(withRole(draft, column, chosen, order));
											}}
										>
											{roles.map((one) => (
												<option key={one} value={one} selected={one === role}>
													{one === "reading" && role === "reading"
														? text.readingNumber(numberOf.get(column) ?? 0)
														: text.roles[one]}
												</option>
											))}
										</select>
									</td>
									{samples.map(({ number, fields }) => (
										<td key={number} class="figures">
											{(fields[first + i]?.text ?? "").slice(0, 24)}
										</td>
									))}
								</tr>
							);
						})}
					</tbody>
				</table>
			</div>
			<RunFields draft={draft} order={order} onChange={onChange} />
		</div>
	);
}

/** Names from a line that is skipped and has as many fields as the others. */
function headingOf(
	draft: ProfileDraft,
	lines: readonly SeenLine[],
	order: readonly Column[],
): readonly string[] | null {
	if (draft.cut === "keyed") return null;
	for (const { kind, text: line } of lines) {
		if (kind !== "skipped") continue;
		const [seen] = seeFields(
			line,
			{
				line: lineOf(draft),
				prefix: "",
				comments: [],
				frame: { lines: 1, row: null, firstRow: 0, mark: null },
			},
			1,
		);
		if (seen !== undefined && seen.fields.length === order.length)
			return seen.fields.map((field) => field.text);
	}
	return null;
}

/** Many readings at once. */
function RunFields({
	draft,
	order,
	onChange,
}: {
	readonly draft: ProfileDraft;
	readonly order: readonly Column[];
	readonly onChange: (draft: ProfileDraft) => void;
}) {
	const places = draft.readings.map((column) => order.indexOf(column)).filter((place) => place >= 0);
	const [from, setFrom] = useState<string | null>(null);
	const [to, setTo] = useState<string | null>(null);
	const shownFrom = from ?? (places.length === 0 ? "" : String(Math.min(...places) + 1));
	const shownTo = to ?? (places.length === 0 ? "" : String(Math.max(...places) + 1));
	const [first, last] = [Number(shownFrom), Number(shownTo)];
	const isRange = Number.isInteger(first) && Number.isInteger(last) && first >= 1 && last >= first;
	const isPossible = isRange && last <= order.length;
	return (
		<div class="run-fields">
			<label class="inline-field">
				{text.runFrom}
				<input
					class="input input-number input-small"
					inputMode="numeric"
					value={shownFrom}
					onInput={(event) => setFrom(event.currentTarget.value)}
				/>
			</label>
			<label class="inline-field">
				{text.runTo}
				<input
					class="input input-number input-small"
					inputMode="numeric"
					value={shownTo}
					onInput={(event) => setTo(event.currentTarget.value)}
				/>
			</label>
			<button
				type="button"
				class="button button-small"
				disabled={!isPossible}
				onClick={() => {
					setFrom(null);
					setTo(null);
					onChange(withReadingRun(draft, first - 1, last - 1, order));
				}}
			>
				{text.setRun}
			</button>
		</div>
	);
}

function Summary({ draft }: { readonly draft: ProfileDraft }) {
	const found = foundReadings(draft);
	const named = (what: string, column: Column): string => `${what} in field ${columnName(column)}`;
	const parts = [
		draft.payload === null ? text.readingCount(found ?? 0) : named(text.roles.payload, draft.payload),
		draft.time === null ? text.noTime : named(text.roles.time, draft.time),
		draft.counter === null ? text.noCounter : named(text.roles.counter, draft.counter),
		...(draft.row === null ? [] : [named(text.roles.row, draft.row)]),
	];
	return (
		<p class="lead" role="status">
			{text.summary(parts)}
		</p>
	);
}

const prefixSizes = ["0", "1", "2", "4"] as const;

function PayloadFields({ draft, onChange }: Omit<StepProps, "errors">) {
	return (
		<div class="form-grid form-grid-narrow">
			<SelectField
				label={text.number}
				value={draft.number}
				options={payloadNumbers.map((value: PayloadNumber) => ({ value, text: value }))}
				onChoose={(number) => onChange({ ...draft, number })}
			/>
			<SelectField
				label={text.byteOrder}
				value={draft.byteOrder}
				options={[
					{ value: "little-endian", text: text.byteOrders["little-endian"] },
					{ value: "big-endian", text: text.byteOrders["big-endian"] },
				]}
				onChoose={(byteOrder) => onChange({ ...draft, byteOrder })}
			/>
			<SelectField
				label={text.prefixBytes}
				value={String(draft.prefixBytes) as (typeof prefixSizes)[number]}
				options={prefixSizes.map((value) => ({ value, text: text.prefixBytesText(Number(value)) }))}
				onChoose={(value) => onChange({ ...draft, prefixBytes: Number(value) as 0 | 1 | 2 | 4 })}
			/>
			{draft.prefixBytes > 0 && (
				<SelectField
					label={text.prefixCounts}
					value={draft.prefixCounts}
					options={[
						{ value: "bytes", text: text.prefixCountsText.bytes },
						{ value: "numbers", text: text.prefixCountsText.numbers },
					]}
					onChoose={(prefixCounts) => onChange({ ...draft, prefixCounts })}
				/>
			)}
		</div>
	);
}

function MoreFields({ draft, errors, onChange }: StepProps) {
	const isOpen =
		draft.lines !== "1" ||
		draft.mark !== "" ||
		draft.comments !== "" ||
		draft.counter !== null ||
		draft.time !== null;
	return (
		<details class="profile-more" open={isOpen}>
			<summary>{text.more}</summary>
			<div class="form-grid form-grid-narrow">
				{draft.time !== null && (
					<SelectField
						label={text.timeUnit}
						value={draft.timeUnit}
						options={(["s", "ms", "µs"] as const).map((value) => ({ value, text: text.timeUnits[value] }))}
						onChoose={(timeUnit) => onChange({ ...draft, timeUnit })}
					/>
				)}
				{draft.counter !== null && (
					<TextField
						label={text.modulus}
						isNumber
						value={draft.modulus}
						error={errors.modulus ?? null}
						onInput={(modulus) => onChange({ ...draft, modulus }, "modulus")}
					/>
				)}
				<TextField
					label={text.lines}
					isNumber
					value={draft.lines}
					error={errors.lines ?? null}
					onInput={(lines) => onChange({ ...draft, lines }, "lines")}
				/>
				{draft.row !== null && (
					<TextField
						label={text.firstRow}
						isNumber
						value={draft.firstRow}
						error={errors.firstRow ?? null}
						onInput={(firstRow) => onChange({ ...draft, firstRow }, "firstRow")}
					/>
				)}
				<TextField
					label={text.mark}
					value={draft.mark}
					onInput={(mark) => onChange({ ...draft, mark: mark.slice(0, 80) }, "mark")}
				/>
				<AreaField
					label={text.comments}
					hint={text.commentsHint}
					rows={2}
					value={draft.comments}
					onInput={(comments) => onChange({ ...draft, comments }, "comments")}
				/>
			</div>
		</details>
	);
}
