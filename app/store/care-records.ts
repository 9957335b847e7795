/** The rehab side of the store: people in full, plans, references, sets, notes. */
import type { Database } from "better-sqlite3";
import type { DoneSession } from "../../core/exercise/adherence.ts";
import type { Exercise } from "../../core/exercise/exercise.ts";
import type { Plan, PlanDraft } from "../../core/exercise/plan.ts";
import type { CountCorrection } from "../../core/exercise/set-record.ts";
import type { SetAnswer } from "../../core/exercise/stop-rules.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type {
	CheckIn,
	ExportedFile,
	Fault,
	PersonRecord,
	PersonRecordCounts,
	ReferenceRecord,
	RequestArgument,
	SetRecord,
	SoapNotes,
} from "../contract.ts";
import type { NewReference, NewSet } from "./care-types.ts";
import { prepareCheckIns } from "./check-ins.ts";
import { prepareRemoval } from "./delete-person.ts";
import { prepareExercises } from "./exercises.ts";
import { personFile, preparePersonExport } from "./export-person.ts";
import { preparePersonImport } from "./import-person.ts";
import type { PeopleRecords } from "./people.ts";
import { preparePersonCounts } from "./person-counts.ts";
import { noPerson, preparePersonDetails } from "./person-details.ts";
import { preparePlans, type StoredPlan } from "./plans.ts";
import { prepareReferences } from "./references.ts";
import type { SessionInserts } from "./session-inserts.ts";
import type { SessionReader } from "./session-reader.ts";
import type { SessionRecords } from "./session-records.ts";
import { prepareSets } from "./sets.ts";
import { prepareSoap } from "./soap-notes.ts";
import { guard, guardAsync } from "./store-fault.ts";

/** What is stored of a person; whoever asks says what of it is out of date. */
export type StoredPerson = Omit<PersonRecord, "renewals">;

export interface CareRecords {
	person(personId: number): Result<StoredPerson, Fault>;
	savePersonDetails(details: RequestArgument<"savePersonDetails">): Result<null, Fault>;
	acknowledgeForPerson(wish: RequestArgument<"acknowledgeForPerson">): Result<null, Fault>;
	countPersonRecords(personId: number): Result<PersonRecordCounts, Fault>;

	/**
	 * Takes the person out of sight and removes all but the bulk of the sessions; `code` must be the person's. The rest
	 * follows with `removeNext`. @returns what is removed
	 */
	deletePerson(personId: number, code: string): Result<PersonRecordCounts, Fault>;
	/** One short piece of what is marked as removed, by now or by a start before. @returns whether there is more that can be
	 *  done now. */
	removeNext(): Result<boolean, Fault>;
	/** Whether what was removed may still be readable on the disk until another program has closed the file. */
	isRemovalWaiting(): boolean;
	/** Everything of one person but the display name. `exportedBy`: program and version. */
	exportPerson(
		personId: number,
		exportedBy: string,
		signal?: AbortSignal,
	): Promise<Result<ExportedFile, Fault>>;
	/** All of it or nothing. @returns the person's id. */
	importPerson(fileName: string, text: string, signal?: AbortSignal): Promise<Result<number, Fault>>;

	/** The library, then own ones by name. */
	listExercises(): Result<readonly Exercise[], Fault>;
	saveExercise(exercise: Exercise): Result<Exercise, Fault>;

	/** The person's newest plan; null before the first. */
	newestPlan(personId: number): Result<StoredPlan | null, Fault>;
	/** The one that has not ended by today, whatever follows it; else the newest. */
	presentPlan(personId: number): Result<StoredPlan | null, Fault>;
	/** Oldest first. */
	listPlans(personId: number): Result<readonly StoredPlan[], Fault>;
	/** A new version, or a new plan where there is none or the newest has ended by then. */
	savePlan(personId: number, draft: PlanDraft): Result<Plan, Fault>;
	endPlan(personId: number, endedOn: string): Result<Plan, Fault>;

	/** @returns its id. */
	addReference(reference: NewReference): Result<number, Fault>;
	reference(referenceId: number): Result<ReferenceRecord, Fault>;
	/** Newest first. */
	listReferences(personId: number): Result<readonly ReferenceRecord[], Fault>;
	/** The newest of that person (null for nobody in particular) on that side; null for none. */
	latestReference(personId: number | null, side: "left" | "right"): Result<ReferenceRecord | null, Fault>;

	/** On the disk when it returns. @returns the set's id. */
	addSet(set: NewSet): Result<number, Fault>;
	/** The answers to the questions, where the set was stored before them. */
	answerSet(setId: number, answer: SetAnswer): Result<null, Fault>;
	correctSet(setId: number, correction: CountCorrection): Result<SetRecord, Fault>;
	/** In the order in which they were stored. */
	listSets(sessionId: number): Result<readonly SetRecord[], Fault>;
	/** In the order of their sessions. */
	personSets(personId: number): Result<readonly SetRecord[], Fault>;
	/** What the person did, session by session: for adherence and today's plan. */
	listDone(personId: number): Result<readonly DoneSession[], Fault>;

	addCheckIn(personId: number, checkIn: CheckIn): Result<null, Fault>;
	/** In the order told. */
	listCheckIns(personId: number): Result<readonly CheckIn[], Fault>;

	soap(sessionId: number): Result<SoapNotes | null, Fault>;
	saveSoap(notes: RequestArgument<"saveSoap">): Result<SoapNotes, Fault>;
}

export interface CareParts {
	readonly db: Database;
	readonly path: string;
	readonly now: () => number;
	readonly people: PeopleRecords;
	readonly records: SessionRecords;
	readonly reader: SessionReader;
	readonly inserts: SessionInserts;
}

export function createCareRecords(parts: CareParts): CareRecords {
	const { db, path, now, people, records } = parts;
	const details = preparePersonDetails(db, now);
	const counts = preparePersonCounts(db, path);
	const exercises = prepareExercises(db, now);
	const plans = preparePlans(db, now);
	const references = prepareReferences(db);
	const sets = prepareSets(db, now, references);
	const soap = prepareSoap(db, now);
	const checkIns = prepareCheckIns(db);
	const removal = prepareRemoval(db, now, counts);
	const tables = { ...parts, plans, references, sets, soap, checkIns };
	const exportOf = preparePersonExport(tables);
	const importFrom = preparePersonImport(tables);

	function attempt<T>(work: () => T): Result<T, Fault> {
		return guard(path, () => success(work()));
	}

	/** For a person that is there. */
	function ofPerson<T>(personId: number, work: () => Result<T, Fault>): Result<T, Fault> {
		return guard(path, () => (people.get(personId) === null ? noPerson(personId) : work()));
	}

	function ofSession<T>(sessionId: number, work: () => T): Result<T, Fault> {
		return guard(path, () =>
			records.has(sessionId)
				? success(work())
				: failure({ kind: "no-such-record", what: "session", id: sessionId }),
		);
	}

	function person(personId: number): Result<StoredPerson, Fault> {
		const found = people.get(personId);
		if (found === null) return noPerson(personId);
		const more = details.get(personId);
		if (!more.ok) return more;
		return success({
			person: found,
			...more.value,
			plan: plans.present(personId)?.plan ?? null,
			references: references.list(personId),
			sessions: found.sessionCount,
		});
	}

	return {
		person: (personId) => guard(path, () => person(personId)),
		savePersonDetails: (wish) => guard(path, () => details.save(wish)),
		acknowledgeForPerson: (wish) => guard(path, () => details.acknowledge(wish)),
		countPersonRecords: (personId) => ofPerson(personId, () => success(counts.of(personId))),
		deletePerson: (personId, code) => guard(path, () => removal.person(personId, code)),
		removeNext: () => attempt(() => removal.next()),
		isRemovalWaiting: () => removal.isWaiting,
		exportPerson: (personId, exportedBy, signal) =>
			guardAsync(path, async () => {
				const made = exportOf(personId, exportedBy);
				return made.ok ? personFile(made.value, signal) : made;
			}),
		importPerson: importFrom,
		listExercises: () => attempt(() => exercises.list()),
		saveExercise: (exercise) => guard(path, () => exercises.save(exercise)),
		newestPlan: (personId) => ofPerson(personId, () => success(plans.newest(personId))),
		presentPlan: (personId) => ofPerson(personId, () => success(plans.present(personId))),
		listPlans: (personId) => ofPerson(personId, () => success(plans.all(personId))),
		savePlan: (personId, draft) => ofPerson(personId, () => plans.save(personId, draft)),
		endPlan: (personId, endedOn) => ofPerson(personId, () => plans.end(personId, endedOn)),
		addReference: (reference) => attempt(() => references.add(reference)),
		reference(referenceId) {
			const read = attempt(() => references.get(referenceId));
			if (!read.ok || read.value !== null) return read as Result<ReferenceRecord, Fault>;
			return failure({ kind: "no-such-record", what: "reference", id: referenceId });
		},
		listReferences: (personId) => ofPerson(personId, () => success(references.list(personId))),
		latestReference: (personId, side) => attempt(() => references.latest(personId, side)),
		addSet: (set) => attempt(() => sets.add(set)),
		answerSet: (setId, answer) => guard(path, () => sets.answer(setId, answer)),
		correctSet: (setId, correction) => guard(path, () => sets.correct(setId, correction)),
		listSets: (sessionId) => ofSession(sessionId, () => sets.list(sessionId)),
		personSets: (personId) => ofPerson(personId, () => success(sets.ofPerson(personId))),
		listDone: (personId) => ofPerson(personId, () => success(sets.done(personId))),
		addCheckIn: (personId, checkIn) =>
			ofPerson(personId, () => {
				checkIns.add(personId, checkIn);
				return success(null);
			}),
		listCheckIns: (personId) => ofPerson(personId, () => success(checkIns.list(personId))),
		soap: (sessionId) => ofSession(sessionId, () => soap.get(sessionId)),
		saveSoap: (notes) => ofSession(notes.sessionId, () => soap.save(notes)),
	};
}
