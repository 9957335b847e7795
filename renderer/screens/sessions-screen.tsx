import { useState } from "preact/hooks";
import type { SessionSummary } from "../../app/contract.ts";
import { SelectField, TextField } from "../parts/field.tsx";
import { FileButton } from "../parts/file-button.tsx";
import { Icon } from "../parts/icon.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { type Action, useAction, useLoaded } from "../parts/use-request.ts";
import { useSessionList } from "../parts/use-session-list.ts";
import { hashOf } from "../route.ts";
import { formatClock, formatCount, formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";

const PAGE = 20;
const EVERYONE = "everyone";

export function SessionsScreen() {
	const [personId, setPersonId] = useState<number | null>(null);
	const [search, setSearch] = useState("");
	const [page, setPage] = useState(0);
	const people = useLoaded("listPeople", null, "people");
	const list = useSessionList(personId, search, page * PAGE, PAGE);
	const load = useAction("importRecording");
	const isFiltered = personId !== null || search.trim() !== "";
	return (
		<>
			<header class="screen-head">
				<h1>{words.sessions.title}</h1>
				<OpenFile load={load} />
			</header>
			{load.fault !== null && <FaultNote fault={load.fault} onDismiss={load.clearFault} />}
			<div class="filters">
				<SelectField
					label={words.sessions.person}
					value={personId === null ? EVERYONE : String(personId)}
					options={[
						{ value: EVERYONE, text: words.sessions.everyone },
						...(people.state === "ready" ? people.value : []).map((person) => ({
							value: String(person.id),
							text: person.displayName === null ? person.code : `${person.displayName} (${person.code})`,
						})),
					]}
					onChoose={(value) => {
						setPersonId(value === EVERYONE ? null : Number(value));
						setPage(0);
					}}
				/>
				<TextField
					label={words.sessions.searchLabel}
					placeholder={words.sessions.search}
					value={search}
					onInput={(value) => {
						setSearch(value);
						setPage(0);
					}}
				/>
			</div>
			{list.state === "loading" && <LoadingNote text={words.sessions.loading} />}
			{list.state === "failed" && <FaultNote fault={list.fault} />}
			{list.state === "ready" && list.value.total === 0 && !isFiltered && (
				<EmptyNote title={words.sessions.emptyTitle} text={words.sessions.emptyText}>
					<a class="button button-primary" href={hashOf({ screen: "live" })}>
						{words.sessions.goLive}
					</a>
				</EmptyNote>
			)}
			{list.state === "ready" && list.value.total === 0 && isFiltered && (
				<EmptyNote title={words.sessions.noMatch} text={words.sessions.noMatchText}>
					<button
						type="button"
						class="button"
						onClick={() => {
							setPersonId(null);
							setSearch("");
							setPage(0);
						}}
					>
						{words.sessions.clear}
					</button>
				</EmptyNote>
			)}
			{list.state === "ready" && list.value.total > 0 && (
				<>
					<SessionTable sessions={list.value.sessions} />
					<Paging page={page} total={list.value.total} onPage={setPage} />
				</>
			)}
		</>
	);
}

function SessionTable({ sessions }: { readonly sessions: readonly SessionSummary[] }) {
	return (
		<table class="panel session-table">
			<thead>
				<tr>
					<th scope="col">{words.sessions.columnTitle}</th>
					<th scope="col">{words.sessions.columnPerson}</th>
					<th scope="col">{words.sessions.columnDate}</th>
					<th scope="col" class="number">
						{words.sessions.columnLength}
					</th>
					<th scope="col" class="number">
						{words.sessions.columnFrames}
					</th>
					<th scope="col">
						<span class="visually-hidden">{reviewWords.review.toReview}</span>
					</th>
				</tr>
			</thead>
			<tbody>
				{sessions.map((session) => (
					<tr key={session.id}>
						<th scope="row">
							<a class="session-link" href={hashOf({ screen: "replay", sessionId: session.id })}>
								{titleOf(session)}
							</a>
							<SessionTags session={session} />
						</th>
						<td>
							{session.personCode ?? "–"}
							{session.side !== null && <span class="fact-note">{words.sessions[session.side]}</span>}
						</td>
						<td>{formatDateTime(session.startedAt)}</td>
						<td class="number figures">{formatClock(session.durationSeconds)}</td>
						<td class="number figures">{formatCount(session.frameCount)}</td>
						<td class="session-ways">
							<a
								class="button button-quiet button-small"
								href={hashOf({ screen: "review", sessionId: session.id })}
								aria-label={reviewWords.review.reviewOf(titleOf(session))}
							>
								{reviewWords.review.toReview}
							</a>
						</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

export function titleOf(session: SessionSummary): string {
	return session.title === "" ? words.sessions.untitled : session.title;
}

export function SessionTags({ session }: { readonly session: SessionSummary }) {
	return (
		<span class="tags">
			{session.simulated && <span class="tag tag-simulated">{words.sessions.simulated}</span>}
			{session.origin === "imported" && <span class="tag">{words.sessions.imported}</span>}
			{!session.closedCleanly && (
				<span class="tag tag-caution" title={words.sessions.incompleteHint}>
					{words.sessions.incomplete}
				</span>
			)}
		</span>
	);
}

function Paging({
	page,
	total,
	onPage,
}: {
	readonly page: number;
	readonly total: number;
	readonly onPage: (page: number) => void;
}) {
	const last = Math.max(0, Math.ceil(total / PAGE) - 1);
	return (
		<nav class="paging" aria-label={words.sessions.columnTitle}>
			<p class="figures">{words.sessions.page(page * PAGE + 1, Math.min(total, (page + 1) * PAGE), total)}</p>
			{last > 0 && (
				<div class="button-row">
					<button type="button" class="button" disabled={page === 0} onClick={() => onPage(page - 1)}>
						<Icon name="left" />
						{words.sessions.previous}
					</button>
					<button type="button" class="button" disabled={page >= last} onClick={() => onPage(page + 1)}>
						{words.sessions.next}
						<Icon name="right" />
					</button>
				</div>
			)}
		</nav>
	);
}

/** Reads a recording file here and hands its text to the app, which checks and stores it; then opens it. */
function OpenFile({ load }: { readonly load: Action<"importRecording"> }) {
	async function take(file: File): Promise<void> {
		const outcome = await load.run({ fileName: file.name.slice(-200), text: await file.text() });
		if (outcome.ok) location.hash = hashOf({ screen: "replay", sessionId: outcome.value.sessionId });
	}

	return (
		<FileButton
			text={load.isBusy ? words.sessions.importing : words.sessions.open}
			isBusy={load.isBusy}
			onFile={(file) => void take(file)}
		/>
	);
}
