import { useState } from "preact/hooks";
import type { Person } from "../../app/contract.ts";
import { Choice } from "../parts/choice.tsx";
import { OpenDemoButton } from "../parts/demo-section.tsx";
import { TextField } from "../parts/field.tsx";
import { FileButton } from "../parts/file-button.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PersonForm } from "../parts/person-form.tsx";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { peopleWords } from "../text/people-words.ts";
import { formatCount } from "../text/quantity.ts";

export function PeopleScreen() {
	const [search, setSearch] = useState("");
	const [includeArchived, setIncludeArchived] = useState(false);
	const [isAdding, setAdding] = useState(false);
	const list = useLoaded("listPeople", { includeArchived }, `people ${includeArchived}`);
	const load = useAction("importPerson");
	const people = list.state === "ready" ? list.value : [];
	const found = people.filter((person) => matches(person, search));
	const isEmpty = list.state === "ready" && people.length === 0 && !isAdding;

	async function read(file: File): Promise<void> {
		const outcome = await load.run({ fileName: file.name.slice(-200), text: await file.text() });
		if (outcome.ok) open(outcome.value.personId);
	}

	const adder = (
		<button type="button" class="button button-primary" onClick={() => setAdding(true)}>
			{peopleWords.newPerson}
		</button>
	);
	return (
		<>
			<header class="screen-head">
				<h1>{peopleWords.title}</h1>
				<div class="button-row">
					<FileButton
						text={load.isBusy ? peopleWords.importing : peopleWords.import}
						isBusy={load.isBusy}
						onFile={(file) => void read(file)}
					/>
					{!isAdding && !isEmpty && adder}
				</div>
			</header>
			{load.fault !== null && <FaultNote fault={load.fault} onDismiss={load.clearFault} />}
			{isAdding && (
				<section class="panel form-section" aria-label={peopleWords.newPerson}>
					<h2>{peopleWords.newPerson}</h2>
					<PersonForm
						onSaved={({ id }) => open(id)}
						onCancel={{ text: peopleWords.cancel, run: () => setAdding(false) }}
					/>
				</section>
			)}
			{list.state === "loading" && <LoadingNote text={peopleWords.loading} />}
			{list.state === "failed" && <FaultNote fault={list.fault} />}
			{!(isEmpty && !includeArchived) && list.state === "ready" && !(isAdding && people.length === 0) && (
				<div class="people-filters">
					<TextField
						label={peopleWords.searchLabel}
						placeholder={peopleWords.search}
						value={search}
						onInput={setSearch}
					/>
					<Choice
						label={peopleWords.shown}
						isLabelShown
						options={[
							{ value: false, text: peopleWords.shownActive },
							{ value: true, text: peopleWords.shownAll },
						]}
						value={includeArchived}
						onChoose={setIncludeArchived}
					/>
				</div>
			)}
			{isEmpty && (
				<EmptyNote title={peopleWords.emptyTitle} text={peopleWords.emptyText}>
					{adder}
					{!includeArchived && (
						<button type="button" class="button" onClick={() => setIncludeArchived(true)}>
							{peopleWords.shownAll}
						</button>
					)}
					<OpenDemoButton />
				</EmptyNote>
			)}
			{people.length > 0 && found.length === 0 && (
				<EmptyNote title={peopleWords.noMatch} text={peopleWords.noMatchText}>
					<button
						type="button"
						class="button"
						onClick={() => {
							setSearch("");
							setIncludeArchived(true);
						}}
					>
						{peopleWords.showAll}
					</button>
				</EmptyNote>
			)}
			{found.length > 0 && <PeopleTable people={found} />}
		</>
	);
}

function PeopleTable({ people }: { readonly people: readonly Person[] }) {
	return (
		<table class="panel session-table">
			<thead>
				<tr>
					<th scope="col">{peopleWords.columnPerson}</th>
					<th scope="col">{peopleWords.columnSide}</th>
					<th scope="col" class="number">
						{peopleWords.columnSessions}
					</th>
				</tr>
			</thead>
			<tbody>
				{people.map((person) => (
					<tr key={person.id}>
						<th scope="row">
							<a class="session-link" href={hashOf({ screen: "person", personId: person.id })}>
								{person.displayName ?? person.code}
							</a>
							{person.displayName !== null && <span class="fact-note">{person.code}</span>}
							{person.archived && <span class="tag tag-after">{peopleWords.archived}</span>}
						</th>
						<td>{peopleWords.sides[person.affectedSide]}</td>
						<td class="number figures">{formatCount(person.sessionCount)}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

function matches({ code, displayName }: Person, search: string): boolean {
	const wanted = search.trim().toLowerCase();
	return `${code} ${displayName ?? ""}`.toLowerCase().includes(wanted);
}

function open(personId: number): void {
	location.hash = hashOf({ screen: "person", personId });
}
