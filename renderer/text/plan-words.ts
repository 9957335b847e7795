/** What the plan editor says, and a plan in words. */
import type { Dose, Exercise } from "../../core/exercise/exercise.ts";
import type { Schedule } from "../../core/exercise/plan.ts";

export const planWords = {
	title: "Plan",
	titleFor: (person: string) => `Plan for ${person}`,
	lead: "Exercises in the order in which they are done. What was prescribed before stays as it was.",
	back: "Back to the person",
	loading: "Opening the plan …",
	exercises: "Exercises",
	emptyTitle: "No exercise yet",
	emptyText: "Add one from the library.",
	library: "Library",
	libraryHint: "Doses are starting points; your prescription overrides them.",
	add: "Add",
	addNamed: (name: string) => `Add ${name}`,
	added: (name: string) => `${name} was added at the end.`,
	how: "How it is done",
	instructions: "Steps",
	cautions: "Take care",
	stopRules: "Stop",
	doseSource: "Where the dose comes from",
	own: "Own",
	ownNew: "Own exercise …",
	ownEdit: "Change",
	up: (name: string) => `Move ${name} up`,
	down: (name: string) => `Move ${name} down`,
	moved: (name: string, place: number, of: number) => `${name} is now ${place} of ${of}.`,
	remove: "Remove",
	removeNamed: (name: string) => `Remove ${name}`,
	orderHint: "Alt and the up or down arrow also move an exercise.",
	side: "Leg",
	sides: { left: "Left", right: "Right" },
	sets: "Sets",
	repetitions: "Repetitions",
	holds: "Holds",
	hold: "Hold",
	pause: "Pause between",
	rest: "Rest after a set",
	low: "Target from",
	high: "to",
	percent: "% of reference",
	note: "Note for the person (optional)",
	schedule: "Schedule",
	weekdays: "Days",
	timesPerDay: "Times a day",
	from: "Valid from",
	reason: "Reason for this version",
	reasonHint: "For the clinic, such as “pain settled, more repetitions”.",
	save: "Save the plan",
	saveNew: (version: number) => `Save as version ${version}`,
	saved: (version: number) => `Version ${version} is saved.`,
	unchanged: "Nothing is changed.",
	fixFirst: "Correct the marked fields first.",
	end: "End the plan today",
	endTitle: "End this plan?",
	endText: "From today on nothing is prescribed any more. What was done stays in the record.",
	endYes: "End the plan",
	endNo: "Keep it going",
	ended: (day: string) => `The plan ended on ${day}. Saving starts a new one.`,
	versions: "Versions",
	noVersions: "The first one comes with saving.",
	version: (version: number) => `Version ${version}`,
	since: (day: string) => `from ${day}`,
	inForce: "In force",
	startFrom: "Start from this one",
	noReason: "No reason written down",
	exercise: {
		title: "An exercise of your own",
		name: "Name",
		kind: "Kind",
		kinds: { hold: "Held", repetition: "Repeated" },
		regions: "Muscles that should work",
		regionsHint: "The first one chosen is counted in.",
		leads: "counted in",
		instructions: "Steps, one a line",
		instructionsHint: "In plain words; they are shown to the person one after the other.",
		cautions: "Take care, one a line",
		stopRules: "When to stop, one a line",
		drawing: "Drawing",
		drawings: {
			general: "Standing",
			"quad-set": "Sitting, leg straight",
			"straight-leg-raise": "Leg raised, lying",
			"terminal-knee-extension": "Knee over a roll",
			"seated-knee-extension": "On a chair",
			"sit-to-stand": "Standing up",
			"mini-squat": "Small squat",
			"step-up": "Step",
		},
		save: "Save the exercise",
		cancel: "Cancel",
		usualStop: "Stop if you feel sharp pain, or if your knee gives way.",
		ownSource: "Set by the clinic.",
	},
	errors: {
		enter: (what: string) => `Enter ${what}.`,
		from: (day: string) => `Choose ${day} or later: the version before it holds from then.`,
		day: "Enter a day.",
		weekdays: "Choose at least one day.",
		items: "Add at least one exercise.",
		regions: "Choose at least one.",
		lines: "Write at least one line.",
		nameTaken: "There is an exercise of this name already.",
	},
} as const;

/** As the muscles' regions are called in the picture. */
export const regionNames: Readonly<Record<string, string>> = {
	"rectus-femoris": "Rectus femoris",
	"vastus-lateralis": "Vastus lateralis",
	"vastus-medialis": "Vastus medialis",
	"vastus-intermedius": "Vastus intermedius",
	hamstrings: "Hamstrings",
	adductors: "Adductors",
};

export const weekdayNames = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"] as const;

/** Such as `3 sets of 10, each held 5 s`. */
export function doseWords(kind: Exercise["kind"], dose: Dose): string {
	const sets = dose.sets === 1 ? "1 set" : `${dose.sets} sets`;
	const held = kind === "hold" ? `, each held ${dose.holdSeconds}\u00a0s` : "";
	return `${sets} of ${dose.repetitions}${held}`;
}

/** Such as `Every day, twice`. */
export function scheduleWords({ weekdays, timesPerDay }: Schedule): string {
	const days = weekdays.length === 7 ? "Every day" : weekdays.map((day) => weekdayNames[day - 1]!).join(", ");
	if (timesPerDay === 1) return `${days}, once`;
	return timesPerDay === 2 ? `${days}, twice` : `${days}, ${timesPerDay} times`;
}

/** Such as `Thursday, 5 March`. @param day such as 2026-03-05 */
export function longDay(day: string): string {
	return new Intl.DateTimeFormat("en-GB", {
		weekday: "long",
		day: "numeric",
		month: "long",
		timeZone: "UTC",
	}).format(new Date(day));
}
