/** What each request about stored records does. */
import { failure } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { RequestHandlers } from "./request-dispatch.ts";
import type { HandlerParts } from "./request-handlers.ts";

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

export function createRecordHandlers(_parts: HandlerParts): Pick<RequestHandlers, RecordRequest> {
	return {
		getPerson: () => notBuilt,
		savePersonDetails: () => notBuilt,
		acknowledgeForPerson: () => notBuilt,
		countPersonRecords: () => notBuilt,
		deletePerson: () => notBuilt,
		exportPerson: () => notBuilt,
		importPerson: () => notBuilt,
		listExercises: () => notBuilt,
		saveExercise: () => notBuilt,
		savePlan: () => notBuilt,
		endPlan: () => notBuilt,
		listSets: () => notBuilt,
		correctSet: () => notBuilt,
		saveSoap: () => notBuilt,
		getSessionReview: () => notBuilt,
		getSessionTrends: () => notBuilt,
		getProgress: () => notBuilt,
		getAveragePicture: () => notBuilt,
	};
}

const notBuilt = failure<Fault>({ kind: "internal", detail: "the records are being built" });
