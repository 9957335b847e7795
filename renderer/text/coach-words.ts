/** What the coach and the reference contraction say: read from three metres, in everyday words. */
import type { CoachView, Cue } from "../../core/exercise/coach-view.ts";
import type { NextStep, StopReason } from "../../core/exercise/stop-rules.ts";

export const coachWords = {
	title: "Exercises",
	loading: "Opening the plan …",
	nobodyTitle: "Nobody chosen",
	nobodyText: "Exercises belong to a person with a plan.",
	toPeople: "Go to People",
	set: (set: number, sets: number) => `Set ${set} of ${sets}`,
	count: (count: number, goal: number) => `${count} of ${goal}`,
	countLabel: { hold: "Holds", repetition: "Times", set: "Sets" },
	/** Read out. */
	counted: (count: number, goal: number, label: string) => `${label}: ${count} of ${goal}`,
	pause: "Pause",
	resume: "Go on",
	stop: "Stop",
	tonesOn: "Tones on",
	tonesOff: "Tones off",
	tap: "I did one",
	keys: "Space pauses and goes on, Escape stops.",
	keysTap: "Space pauses and goes on, Escape stops, Enter counts one.",
	places: {
		aim: "Aim here",
		below: "A bit more",
		within: "Good",
		above: "A bit less",
		working: "Working",
		resting: "Resting",
	},
	most: "Your most so far",
	noReference: (change: string) => `${change} since rest`,
	nothing: "nothing comes from the band",
	notMeasured: "This muscle cannot be seen by the band. You count.",
	notMeasuredHold: "This muscle cannot be seen by the band. The clock leads.",
	gauge: (words: string) => `How much your muscle works. ${words}`,
	pausedByLink: "The band went silent. Switch it on, and stay near this screen.",
	pausedByBand: (pads: string) =>
		pads === ""
			? "Check the band: it cannot measure well. Press it on."
			: `Check the band. These pads do not touch well: ${pads}. Wet them and press them on.`,
	bandFits: "The band sits well again. Press “Go on” when you are ready.",
	bandBack: "The band is back. Press “Go on” when you are ready.",
	next: "Next",
	nextSet: (set: number, sets: number) => `set ${set} of ${sets}`,
	start: "Start",
	startNow: "Start now",
	wait: "Wait",
	startsIn: (seconds: number) => `Starts by itself in ${seconds} s`,
	exerciseOf: (place: number, of: number) => `Exercise ${place} of ${of}`,
	tryAgain: "Try again",
	bandAgain: "Put the band on again",
	cautions: "Take care",
	stopRules: "Stop at once",
	stopped: "You stopped.",
	stoppedText: "That is fine. What you did is kept.",
	goOn: "Go on with the next exercise",
	enough: "That is enough for today",
	leave: "Leave",
	painTitle: "How much did it hurt?",
	effortTitle: "How hard was it?",
	symptoms: "Something else is wrong",
	symptomsTitle: "What is wrong?",
	symptomsSend: "Report it",
	symptomsNone: "None of these",
	legs: { left: "left leg", right: "right leg" },
	/** Before the questions of a set that was left without them. */
	leftSet: (exercise: string, set: number, leg: string) =>
		`First, two questions about what you did before: ${exercise}, ${leg}, set ${set}.`,
	understood: "I have read this",
} as const;

export const cueWords: Record<Cue, string> = {
	"press-start": "Press start",
	"keep-still": "Keep still",
	work: "Go",
	hold: "Hold",
	"let-go": "Let go",
	rest: "Rest",
	answer: "Well done",
	finished: "Well done",
	stopped: "Stopped",
	paused: "Paused",
};

export const hintWords: Record<NonNullable<CoachView["hint"]>, string> = {
	"check-band": "It did not come back to rest. Relax, and check the band.",
	"no-signal": "Nothing comes from the band. Check that it is on.",
	"hold-longer": "Try to hold a little longer.",
	"keep-still": "Relax your leg. It starts when you are still.",
};

export const nextWords: Record<NonNullable<CoachView["next"]>, string> = {
	work: "go",
	rest: "rest",
	questions: "two questions",
	end: "the end",
};

/** Plain anchors beside the numbers of pain. */
export const painAnchors: Readonly<Record<number, string>> = {
	0: "No pain",
	3: "Some",
	5: "Quite a lot",
	8: "Very bad",
	10: "The worst you can think of",
};

/** Borg's CR10 in everyday words, by its values. */
export const effortAnchors: Readonly<Record<number, string>> = {
	0: "Nothing at all",
	0.5: "Just noticeable",
	1: "Very easy",
	2: "Easy",
	3: "Medium",
	5: "Hard",
	7: "Very hard",
	10: "As hard as it gets",
};

export interface AdviceWords {
	readonly title: string;
	readonly text: string;
	readonly isSerious: boolean;
}

const reasonWords: Record<StopReason, string> = {
	"pain-above-acceptable": "That is more pain than it should be.",
	"pain-severe": "That is a lot of pain.",
	"pain-again": "That is too much pain again.",
	"pain-acceptable": "Some pain is all right if it is gone tomorrow morning.",
	"pain-rising": "It hurts more than before.",
	"effort-high": "That was hard.",
	"effort-too-high": "That was too hard.",
};

/** What the answers lead to; null where everything goes on as it was. */
export function adviceWords(step: NextStep | null): AdviceWords | null {
	if (step === null) return null;
	switch (step.action) {
		case "go-on":
			return step.reasons.length === 0
				? null
				: { title: "Go on", text: reasonsText(step.reasons), isSerious: false };
		case "ease": {
			const how =
				step.repetitionShare < 1 ? "The next set is shorter, after a longer rest." : "You get a longer rest.";
			return { title: "A little easier now", text: `${reasonsText(step.reasons)} ${how}`, isSerious: false };
		}
		case "stop-exercise":
			return {
				title: "This exercise is over for today",
				text: `${reasonsText(step.reasons)} Rest your leg.`,
				isSerious: true,
			};
		case "stop-session":
			return {
				title: "No more exercise today",
				text: `${reasonsText(step.reasons)} Rest, and talk to your therapist before you go on.`,
				isSerious: true,
			};
		case "get-help":
			return step.urgency === "emergency"
				? {
						title: "Stop and call for help now",
						text: "Call your emergency number, or let somebody call it for you. Sit or lie down. Take the band off.",
						isSerious: true,
					}
				: {
						title: "Stop, and see a doctor or nurse today",
						text: "Take the band off and rest. Do not go on before somebody has looked at it.",
						isSerious: true,
					};
	}
}

function reasonsText(reasons: readonly StopReason[]): string {
	return reasons.map((reason) => reasonWords[reason]).join(" ");
}

export const referenceWords = {
	title: "Reference contraction",
	lead: "A rest and a few efforts of 5 s. Later work is shown as a share of the best of them.",
	back: "Back to the person",
	loading: "Opening the record …",
	leg: "Leg",
	legs: { left: "Left", right: "Right" },
	target: "Muscles",
	targets: { quadriceps: "Front of the thigh", hamstrings: "Back of the thigh" },
	targetHints: {
		quadriceps: "Sit or lie with the leg straight. Push the knee down and make the front of the thigh firm.",
		hamstrings:
			"Sit with the knee bent and the heel on the floor. Press the heel down and back; the foot stays where it is.",
	},
	both: "Take both: the ratio of hamstrings to quadriceps needs one of each.",
	effort: "Effort",
	efforts: { comfortable: "Comfortable", maximal: "As firm as possible" },
	effortHints: {
		comfortable: "A firm effort that does not hurt. Choose this early after an operation, and with pain.",
		maximal: "Only where the knee may be loaded fully.",
	},
	contractions: "Efforts",
	pause: "Rest between",
	length: (minutes: string) => `Takes about ${minutes}.`,
	notMeasured: "This leg has not been measured yet.",
	measure: "Measure the thigh",
	start: "Start",
	starting: "Getting ready …",
	keepStill: (seconds: number) => `Keep still … ${Math.max(1, Math.ceil(seconds))} s`,
	stop: "Stop",
	steps: {
		rest: "Keep still and relax",
		contract: {
			quadriceps: { comfortable: "Push your knee down", maximal: "Push as hard as you can" },
			hamstrings: { comfortable: "Press your heel down and back", maximal: "Press as hard as you can" },
		},
		pause: "Let go and relax",
		ready: "Get ready",
	},
	stepHints: {
		rest: {
			quadriceps: "Next, push your knee down.",
			hamstrings: "Next, press your heel down and back.",
		},
		contract: "Keep breathing.",
		pause: "The next effort comes after this rest.",
		last: "Nearly done. Stay relaxed.",
	},
	progress: (contraction: number, of: number) => `Effort ${contraction} of ${of}`,
	doneTitle: "Reference taken",
	doneText: "It is stored with this person.",
	notRepeatable: (limit: number) =>
		`The efforts differed by more than ${limit}\u00a0%. Take it again, so that later shares can be relied on.`,
	notStored:
		"It could not be stored yet. It is kept here and tried again every few seconds. Leaving a second time leaves without it.",
	nothing:
		"No muscle answered clearly and the same way each time. Check the band’s contact and place, and take it again.",
	stoppedTitle: "Stopped",
	stoppedText: "Nothing was stored.",
	again: "Take it again",
	other: { quadriceps: "Now the front of the thigh", hamstrings: "Now the back of the thigh" },
	done: "Done",
} as const;
