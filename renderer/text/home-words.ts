/** What a person reads at home. Short sentences and everyday words, for a reading age of about 11 years. */
import type { Today } from "../../app/contract.ts";
import type { Dose, Exercise } from "../../core/exercise/exercise.ts";

export const homeWords = {
	title: "Today",
	hello: (name: string | null) => (name === null ? "Hello" : `Hello, ${name}`),
	loading: "One moment …",
	due: (left: number) =>
		left === 1 ? "Here is your plan for today." : `Your plan for today, ${left} times.`,
	again: "You have done it once today. Here it is again.",
	first: "Start with",
	next: "Next",
	list: "Today",
	doneTitle: "All done for today",
	doneText: (next: string | null) =>
		next === null ? "Have a good rest." : `Have a good rest. Your next day is ${next}.`,
	freeTitle: "Today is a rest day",
	freeText: (next: string | null) =>
		next === null ? "There is nothing to do." : `Your next day is ${next}.`,
	noPlanTitle: "No plan yet",
	noPlanText: "Your therapist will make a plan with you.",
	cautionsTitle: "Not ready yet",
	cautionsText: "Your therapist needs to go through some safety questions with you first.",
	overTitle: "No more exercise today",
	overText: "You stopped because of how you felt. Rest now. Talk to your therapist before you go on.",
	start: "Start",
	goOn: "Go on",
	minutes: (minutes: number) => (minutes === 1 ? "About 1 minute" : `About ${minutes} minutes`),
	legs: { left: "Left leg", right: "Right leg" },
	doneMark: "Done",
	streak: {
		none: "Today is a good day to begin.",
		again: "Good to see you again. Today is a good day to go on.",
		one: "You have made a start. Nice.",
		more: (days: number) => `You did your exercises ${days} days in a row. Nice.`,
	},
	lately: (days: number) =>
		days === 1
			? "You did them on 1 day in the last 4 weeks."
			: `You did them on ${days} days in the last 4 weeks.`,
	band: {
		title: (side: "left" | "right") => `Put the band on your ${side} leg`,
		move: (side: "left" | "right") => `Now move the band to your ${side} leg`,
		steps: {
			skin: "Look at your skin. It must be clean, dry and not sore.",
			wet: "Wet each pad with a little water.",
			place: "Put the band on your thigh. Pad 1 goes where your therapist showed you.",
			close: "Close it. It should be snug, and one finger fits under it.",
		},
		ready: "The band is on",
		working: "Getting ready …",
		keepStill: (seconds: number) => `Sit still. ${Math.max(1, Math.ceil(seconds))} …`,
		sitStill: "When you press the button, sit still for a moment.",
	},
	contact: {
		title: "Is the band all right?",
		good: "Yes. All pads touch your skin.",
		fair: (numbers: string) => `Good enough. You can press on these pads a little: ${numbers}.`,
		bad: (numbers: string) => `These pads do not touch well: ${numbers}. Wet them and press them on.`,
		many: "Many pads do not touch your skin. Wet them all and close the band again.",
		unknown: "This band cannot tell. Make sure that every pad lies flat on your skin.",
		waiting: "The band is not sending yet. Is it switched on?",
		lost: "The band is gone. Switch it on, and stay near this screen.",
		look: "Look for the band again",
	},
	pain: {
		before: "How much does your leg hurt now?",
		morning: "The morning after last time: how much did it hurt?",
		startsWithAnswer: "0 is no pain. 10 is the worst you can think of. Choose a number to start.",
		withoutAnswer: "Start without an answer",
		lessToday: "Your leg had not settled the morning after. So today you do a bit less.",
		tellTherapist: "Tell your therapist about that morning.",
	},
	finished: {
		title: "Well done",
		text: "That was everything for now.",
		tomorrow:
			"Think about your leg tomorrow morning. If it still hurts more than before, do less and tell your therapist.",
		takeOff: "You can take the band off.",
		closes: "This page closes by itself.",
		close: "Done",
	},
	lock: {
		open: "For the therapist",
		title: "Leave home mode",
		pin: "PIN",
		leave: "Leave home mode",
		text: "This opens the records of all people, and the settings.",
		cancel: "Stay here",
	},
	enter: {
		title: "Home mode",
		text: "Shows only this person’s plan, in large type. People, records and settings are locked away until home mode is left.",
		pin: "PIN (optional)",
		pinHint: "4 to 12 digits, asked when leaving. Empty keeps the one that was set before.",
		pinError: "Enter 4 to 12 digits.",
		yes: "Start home mode",
		cancel: "Not now",
	},
	off: {
		title: "Home mode is off",
		text: "It is started from a person’s page.",
		people: "Go to People",
	},
} as const;

/** Such as `10 holds of 6 seconds, 3 sets`. */
export function homeDose(kind: Exercise["kind"], { sets, repetitions, holdSeconds }: Dose): string {
	const seconds = holdSeconds === 1 ? "1 second" : `${holdSeconds} seconds`;
	const holds = repetitions === 1 ? `1 hold of ${seconds}` : `${repetitions} holds of ${seconds}`;
	const once = kind === "hold" ? holds : repetitions === 1 ? "1 time" : `${repetitions} times`;
	return sets === 1 ? once : `${once}, ${sets} sets`;
}

/** What was done, never what was missed: whoever comes back after a break is as welcome as on the first day. */
export function streakWords({ streak, adherence }: Pick<Today, "streak" | "adherence">): string {
	const words = homeWords.streak;
	const days = adherence?.days.done ?? 0;
	if (days === 0 && streak === 0) return words.none;
	const first = streak === 0 ? words.again : streak === 1 ? words.one : words.more(streak);
	return days === 0 ? first : `${first} ${homeWords.lately(days)}`;
}
