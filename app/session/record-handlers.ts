/** What each request about stored records does. */
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import { APP_VERSION } from "./app-version.ts";
import { progressOfPerson } from "./progress.ts";
import { renewalsOf } from "./reference-renewal.ts";
import type { RequestHandlers } from "./request-dispatch.ts";
import type { HandlerParts } from "./request-handlers.ts";
import { reviewOf, sessionTrends } from "./session-review.ts";

export type RecordRequest =
	| "getPerson"
	| "savePersonDetails"
	| "acknowledgeForPerson"
	| "countPersonRecords"
	| "deletePerson"
	| "exportPerson"
	| "importPerson"
	| "listExercises"
	| "saveExercise"
	| "savePlan"
	| "endPlan"
	| "listSets"
	| "correctSet"
	| "saveSoap"
	| "getSessionReview"
	| "getSessionTrends"
	| "getProgress"
	| "getAveragePicture";

export function createRecordHandlers(parts: HandlerParts): Pick<RequestHandlers, RecordRequest> {
	const { clock, live, setUp, onChange } = parts;
	const now = (): string => toRfc3339(clock.now());
	const noStore = () => failure(parts.storeFault() ?? ({ kind: "internal", detail: "no store" } as const));

	function withStore<T>(work: (store: Store) => T): T | ReturnType<typeof noStore> {
		return parts.store === null ? noStore() : work(parts.store);
	}

	/** The person that is set up may be the one that was changed. */
	function peopleChanged<T>(outcome: Result<T, Fault>): Result<T, Fault> {
		setUp.refreshPerson();
		onChange();
		return outcome;
	}

	return {
		getPerson: ({ personId }) =>
			withStore((store) => {
				const record = store.person(personId);
				if (!record.ok) return record;
				const renewals = renewalsOf(record.value, { setUp, live, store, now: clock.now() });
				return renewals.ok ? success({ ...record.value, renewals: renewals.value }) : renewals;
			}),
		savePersonDetails: (details) => withStore((store) => peopleChanged(store.savePersonDetails(details))),
		acknowledgeForPerson: (wish) => withStore((store) => store.acknowledgeForPerson(wish)),
		countPersonRecords: ({ personId }) => withStore((store) => store.countPersonRecords(personId)),
		deletePerson: (wish) => parts.keeper?.remove(wish) ?? noStore(),
		exportPerson: ({ personId }, signal) =>
			withStore((store) => store.exportPerson(personId, `Tautline ${APP_VERSION}`, signal)),
		importPerson: (file, signal) => parts.keeper?.importFile(file, signal) ?? noStore(),
		listExercises: () => withStore((store) => store.listExercises()),
		saveExercise: ({ exercise }) => withStore((store) => store.saveExercise(exercise)),
		savePlan: ({ personId, draft }) => withStore((store) => store.savePlan(personId, draft)),
		endPlan: ({ personId, endedOn }) => withStore((store) => store.endPlan(personId, endedOn)),
		listSets: ({ sessionId }) => withStore((store) => store.listSets(sessionId)),
		correctSet: ({ setId, correction }) =>
			withStore((store) => store.correctSet(setId, { ...correction, at: now() })),
		saveSoap: (notes) => withStore((store) => store.saveSoap(notes)),
		getSessionReview: ({ sessionId }) => withStore((store) => reviewOf(store, sessionId)),
		getSessionTrends: (wish) => withStore((store) => sessionTrends(store, wish)),
		getProgress: ({ personId }) =>
			withStore((store) => progressOfPerson(store, personId, now().slice(0, 10))),
		getAveragePicture: (wish, signal) => parts.averages?.get(wish, signal) ?? noStore(),
	};
}
