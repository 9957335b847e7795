/** What the list of people and a person's page say. */

import type { PersonRecordCounts } from "../../app/contract.ts";
import { LONGEST_REFERENCE_DAYS, type RenewReason } from "../../core/exercise/reference-age.ts";
import type { ReferenceTarget } from "../../core/exercise/reference-target.ts";
import { unsafeWords } from "./comparison.ts";
import { formatCount } from "./quantity.ts";

export const peopleWords = {
	title: "People",
	search: "Search codes and names",
	searchLabel: "Search",
	shown: "Shown",
	shownActive: "In care",
	shownAll: "With archived",
	newPerson: "New person",
	import: "Read a person’s file …",
	importing: "Reading the file …",
	loading: "Loading the people …",
	emptyTitle: "Nobody here yet",
	emptyText: "Add a person by a code. A name is optional and stays on this computer.",
	noMatch: "Nobody matches",
	noMatchText: "Search for something else, or show archived people too.",
	showAll: "Show everybody",
	columnPerson: "Person",
	columnSide: "Affected side",
	columnSessions: "Sessions",
	archived: "Archived",
	sides: { left: "Left", right: "Right", both: "Both", none: "Neither" },
	cancel: "Cancel",
} as const;

export const personWords = {
	title: "Person",
	back: "All people",
	loading: "Opening the record …",
	exercise: "Start exercises",
	reference: "Take a reference",
	home: "Home mode",
	measure: "Measure the thigh",
	noPlanHint: "Make a plan first.",
	noLimbHint: "Measure the thigh first.",
	details: "Details",
	edit: "Edit",
	save: "Save",
	saved: "Saved",
	goals: "Goals",
	goalsHint: "In the person’s own words, such as “walk down the stairs without holding on”.",
	noGoals: "No goals written down yet.",
	plan: "Plan",
	noPlan: "No plan yet",
	noPlanText: "Choose exercises from the library, set how much, and on which days.",
	makePlan: "Make a plan",
	changePlan: "Change the plan",
	planSince: (version: number, day: string) => `Version ${version}, since ${day}`,
	planEnded: (day: string) => `Ended on ${day}`,
	references: "Reference contractions",
	referencesText: "What engagement is a percentage of. Taken at rest and with three efforts.",
	noReference: "No reference yet",
	noReferenceText: "Until one is taken, engagement is shown in raw units and never as a percentage.",
	targets: { quadriceps: "quadriceps", hamstrings: "hamstrings" },
	renewal: (why: string) => `Reference contraction: ${why.charAt(0).toLowerCase()}${why.slice(1)}`,
	lackingReference: (side: "left" | "right", target: ReferenceTarget) =>
		target === "hamstrings"
			? `The ${side} leg needs a hamstring reference, too, before hamstrings are compared with quadriceps.`
			: `The ${side} leg needs a quadriceps reference before engagement of the quadriceps is a percentage.`,
	besideAim: "not aimed at: no share is taken of it",
	newest: "Newest",
	older: (count: number) => (count === 1 ? "1 older reference" : `${count} older references`),
	region: "Region",
	referenceChange: "Change from rest",
	repeatability: "Variation",
	notDetected: "Not detected",
	notTaken: "Not taken",
	withinNoise: "does not rise above rest noise; takes no part in scores",
	directionsDiffer: "efforts went in different directions; takes no part in scores",
	notRepeatable: "Not repeatable: take it again",
	repeatable: "Repeatable",
	single: "One effort only: not known",
	efforts: { maximal: "as firm as they could", comfortable: "comfortable effort" },
	limbs: "Thigh measurements",
	noLimbs: "Not measured yet",
	noLimbsText: "The picture and the band’s place follow these measures.",
	measureAgain: "Measure again",
	columnDate: "Date",
	columnSide: "Side",
	columnAround: "Circumference",
	columnFat: "Fat",
	columnLevel: "Above the knee",
	columnChange: "Since before",
	sides: { left: "Left", right: "Right" },
	cautions: "Cautions",
	cautionsDone: (day: string) => `Gone through with this person on ${day}`,
	cautionsOpen: "Not gone through with this person yet, or changed since. Exercises start after that.",
	goThrough: "Go through the cautions",
	cautionsTitle: "Cautions, for this person",
	cautionsYes: "None of these applies, or it is cleared",
	cautionsNo: "Not now",
	sessions: "Sessions",
	sessionCount: (count: number) => (count === 1 ? "1 session" : `${formatCount(count)} sessions`),
	noSessions: "No session recorded yet.",
	untitled: "Untitled recording",
	allSessions: "All sessions",
	record: "This person’s record",
	recordText: "One file holds everything, raw readings included. It can be read on another computer.",
	export: "Export the record",
	exporting: "Exporting …",
	exported: (name: string) => `${name} was handed to your downloads.`,
	archive: "Archive",
	unarchive: "Take out of the archive",
	archiveText: "Archived people are kept, but not listed.",
	delete: "Delete for good …",
	deleteTitle: "Delete this person for good?",
	deleteLead: "This removes, from this computer and for good:",
	deleteNone: "Nothing but the person’s own entry.",
	deleteCopies: (names: string) =>
		`Older copies of the records may still hold it: ${names}. Delete those files too if nothing may be left.`,
	deleteExport: "Export the record first if it may be needed again.",
	deleteCode: (code: string) => `Type the code ${code} to confirm`,
	deleteYes: "Delete for good",
	keep: "Keep the person",
	simulated: "Simulated",
} as const;

/** What deleting removes, one line each; nothing for what there is none of. */
export function removedWords(counts: PersonRecordCounts): string[] {
	const line = (count: number, one: string, many: string): string[] =>
		count === 0 ? [] : [`${formatCount(count)} ${count === 1 ? one : many}`];
	return [
		...line(counts.sessions, "session", "sessions"),
		...line(counts.frames, "frame of raw readings", "frames of raw readings"),
		...line(counts.sets, "set of an exercise", "sets of exercises"),
		...line(counts.soapNotes, "session’s notes", "sessions’ notes"),
		...line(counts.checkIns, "answer on pain before exercise", "answers on pain before exercise"),
		...line(counts.references, "reference contraction", "reference contractions"),
		...line(counts.plans, "plan", "plans").map((text) =>
			counts.planVersions > counts.plans ? `${text} (${formatCount(counts.planVersions)} versions)` : text,
		),
		...line(counts.limbs, "thigh measurement", "thigh measurements"),
	];
}

/** Why a reference contraction is to be taken anew, and what holds until then. */
export function renewWords(reasons: readonly RenewReason[]): string {
	const unsafe = reasons.filter((reason) => reason !== "old");
	const age = reasons.includes("old") ? [`more than ${LONGEST_REFERENCE_DAYS} days old`] : [];
	const why = [...age, ...unsafe.map((reason) => unsafeWords(reason).what)].join(", ");
	return unsafe.length === 0
		? `Take a new one: ${why}. Until then engagement is a share of this one.`
		: `Take a new one: ${why}. Until then engagement is shown in raw units.`;
}
