import type { RequestFault } from "../bridge.ts";
import type { FaultWords } from "./fault.ts";

type Kind = RequestFault["kind"];
type WordsFor<K extends Kind> = FaultWords | ((fault: Extract<RequestFault, { kind: K }>) => FaultWords);

const askTherapist = "Tell your therapist.";

const noBand: FaultWords = {
	what: "The band is not there.",
	next: "Switch it on, and stay near this screen. Then try again.",
};

const bandTrouble: FaultWords = {
	what: "The band does not answer as it should.",
	next: "Switch it off and on again. If that does not help, tell your therapist.",
};

const records: FaultWords = {
	what: "What you do cannot be kept just now. What was kept before is safe.",
	next: "Stop for today, and tell your therapist.",
};

/** What can come up at home, in everyday words. Whatever else goes wrong there is nothing that a person could mend. */
const atHome: { readonly [K in Kind]?: WordsFor<K> } = {
	"not-connected": noBand,
	"no-such-port": noBand,
	"no-data": noBand,
	"battery-empty": {
		what: "The band’s battery is empty.",
		next: "Take the band off and charge it. Then put it on and go on.",
	},
	"computer-slept": {
		what: "The computer was asleep.",
		next: "Go on when the band is back.",
	},
	"second-board": {
		what: "Two bands are switched on.",
		next: "Switch off the one that you do not wear.",
	},
	"too-disturbed": {
		what: "The band cannot be heard well.",
		next: "Stay near this screen. If that does not help, tell your therapist.",
	},
	"wrong-speed": bandTrouble,
	"port-busy": bandTrouble,
	"port-permission": bandTrouble,
	"not-a-port": bandTrouble,
	"port-failed": bandTrouble,
	"not-our-protocol": bandTrouble,
	"board-refused": bandTrouble,
	"board-silent": bandTrouble,
	"takes-no-commands": bandTrouble,
	"profile-does-not-fit": bandTrouble,
	"over-current-limit": {
		what: "The band was stopped to keep you safe.",
		next: "Take the band off, and tell your therapist.",
	},
	"no-baseline": {
		what: "The app does not know yet how your leg looks at rest.",
		next: "Sit still with your leg relaxed, and try again.",
	},
	"band-off": {
		what: "Some pads do not touch your skin.",
		next: "Wet them and press them on. Then go on.",
	},
	"baseline-not-steady": {
		what: "Your leg was not still.",
		next: "Sit still with your leg relaxed, and try again.",
	},
	"cautions-not-acknowledged": {
		what: "Your therapist needs to go through some safety questions with you first.",
		next: "Wait with the exercises until then.",
	},
	"disk-full": records,
	"store-read-only": records,
	"store-corrupt": records,
	"store-newer": records,
	"store-foreign": records,
	"store-missing": records,
	"store-busy": records,
	"store-failed": records,
	"no-such-record": {
		what: "Your plan is not there any more.",
		next: askTherapist,
	},
	locked: { what: "This is locked at home.", next: "Your therapist can open it." },
	"wrong-pin": ({ waitSeconds }) => ({
		what: "That is not the right PIN.",
		next: waitSeconds > 0 ? `Wait ${Math.ceil(waitSeconds)} seconds, then try again.` : "Try again.",
	}),
	"limb-not-measured": { what: "This leg has not been measured yet.", next: askTherapist },
	"band-elsewhere": ({ side }) => ({
		what: `This is for your ${side} leg.`,
		next: `Put the band on your ${side} leg, and say that it is on.`,
	}),
	busy: { what: "You are in the middle of an exercise.", next: "Finish it or stop it first." },
	"already-recording": { what: "Something is still being kept.", next: "Wait a moment, then try again." },
	"not-running": { what: "This exercise is over.", next: "Go back, and start again." },
	"exercise-over": ({ action }) => ({
		what:
			action === "stop-exercise"
				? "Because of how you felt this exercise is over for today."
				: "Because of how you felt there is no more exercise today.",
		next: "Rest now. Talk to your therapist before you go on.",
	}),
	"set-unanswered": {
		what: "There are still questions about a set that you did today.",
		next: "Leave, start again, and answer them first.",
	},
	cancelled: { what: "That was called off.", next: "Start again when you like." },
	"connection-lost": {
		what: "This page has lost the app.",
		next: "Wait a moment. If nothing happens, start the app again.",
	},
};

const anything: FaultWords = {
	what: "Something went wrong. What you did is safe.",
	next: "Close the app and start it again. If that does not help, tell your therapist.",
};

/** The plain words of a fault; `faultWords` says it to somebody who knows the app. */
export function homeFaultWords(fault: RequestFault): FaultWords {
	const words = atHome[fault.kind] as WordsFor<typeof fault.kind> | undefined;
	if (words === undefined) return anything;
	return typeof words === "function" ? (words as (fault: RequestFault) => FaultWords)(fault) : words;
}
