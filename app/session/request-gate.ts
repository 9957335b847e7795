/** Which requests are let through: at home few, and in the middle of an exercise none that would spoil it. */
import { failure } from "../../core/result.ts";
import type { AppState, RequestArgument, RequestName } from "../contract.ts";
import type { Gate } from "./request-dispatch.ts";

/** `own`: only about the person whose home it is. */
export type HomeAccess<K extends RequestName> =
	| "open"
	| "locked"
	| "own"
	| ((argument: RequestArgument<K>) => boolean);

type HomeAccesses = { readonly [K in RequestName]: HomeAccess<K> };

/** A new request does not compile before it is entered here. At home stays what a person needs to do the plan: the band,
 *  the picture, the own plan and record. Settings, other people and what is recorded of them are locked. */
export const homeAccess: HomeAccesses = {
	getState: "open",
	acknowledgeCautions: "locked",
	listPorts: "open",
	connect: "open",
	disconnect: "open",
	listProfiles: "locked",
	saveProfile: "locked",
	deleteProfile: "locked",
	captureLines: "locked",
	playLog: "locked",
	sendCommand: ({ command }) => command === "start" || command === "stop" || command === "contact-check",
	startCheck: "open",
	passOverCheck: "locked",
	stopCheck: "open",
	rangeAgain: "locked",
	setCurrentLimit: "locked",
	takeBaseline: "open",
	setPrior: "locked",
	setRestFollowing: "locked",
	studyBand: "locked",
	studyFat: "locked",
	getStrength: "locked",
	tryStrength: "locked",
	selectBand: "open",

	listPeople: "locked",
	savePerson: "locked",
	getPerson: "own",
	savePersonDetails: "locked",
	acknowledgeForPerson: "locked",
	countPersonRecords: "locked",
	deletePerson: "locked",
	exportPerson: "locked",
	importPerson: "locked",
	listExercises: "open",
	saveExercise: "locked",
	savePlan: "locked",
	endPlan: "locked",
	listSets: "locked",
	correctSet: "locked",
	saveSoap: "locked",
	getSessionReview: "locked",
	getSessionTrends: "locked",
	getProgress: "own",
	getAveragePicture: "locked",
	setUp: "locked",

	startRecording: "locked",
	stopRecording: "locked",
	listSessions: "locked",
	saveSessionNotes: "locked",
	exportSession: "locked",
	readExport: "locked",
	importRecording: "locked",
	openReplay: "locked",
	controlReplay: "locked",
	closeReplay: "locked",
	getReplayTrends: "locked",
	getGeometry: "open",
	getLiveTrends: "open",
	startVolume: "locked",
	stopVolume: "locked",
	getVolumeGeometry: "locked",
	getVolumeTrends: "locked",

	wearBand: "own",
	// another reference would change what every percentage after it means
	startReference: "locked",
	stopReference: "open",
	tellPain: "own",
	startExercise: "own",
	controlExercise: "open",
	answerSet: "open",
	answerLeftSet: "own",
	leaveExercise: "open",
	getToday: "own",
	enterHome: "locked",
	leaveHome: "open",

	openDemo: "locked",
	cancelDemo: "locked",
	closeDemo: "locked",
};

/** What would take the band's rest, its picture or its recording from under a person who is working. Stopping the
 *  current and letting go of the band stay possible at any time. */
const spoiling: ReadonlySet<RequestName> = new Set<RequestName>([
	"connect",
	"playLog",
	"startCheck",
	"passOverCheck",
	"rangeAgain",
	"setCurrentLimit",
	"takeBaseline",
	"setPrior",
	"selectBand",
	"setUp",
	"stopRecording",
	"wearBand",
	"enterHome",
	"deletePerson",
	"openDemo",
	"closeDemo",
]);

export interface GateParts {
	readonly home: () => AppState["home"];
	readonly busyWith: () => "reference" | "exercise" | null;
}

export function createGate({ home, busyWith }: GateParts): Gate {
	return (name, argument) => {
		const at = home();
		if (at !== null && !isAllowedAtHome(name, argument, at.personId)) return failure({ kind: "locked" });
		const busy = busyWith();
		if (busy === null || !(spoiling.has(name) || isDriveChange(name, argument))) return null;
		return failure({ kind: "busy", with: busy });
	};
}

function isAllowedAtHome<K extends RequestName>(
	name: K,
	argument: RequestArgument<K>,
	personId: number,
): boolean {
	const access: HomeAccess<K> = homeAccess[name];
	switch (access) {
		case "open":
			return true;
		case "locked":
			return false;
		case "own":
			return (argument as { readonly personId?: unknown } | null)?.personId === personId;
		default:
			return access(argument);
	}
}

function isDriveChange<K extends RequestName>(name: K, argument: RequestArgument<K>): boolean {
	if (name !== "sendCommand") return false;
	const { command } = argument as RequestArgument<"sendCommand">;
	return command !== "stop";
}
