/** What a person reads at home. Short sentences and everyday words, for a reading age of about 11 years. */
export const homeWords = {
	title: "Today",
	hello: (name: string | null) => (name === null ? "Hello" : `Hello, ${name}`),
	loading: "One moment …",
	due: (left: number) =>
		left === 1 ? "Here is your plan for today." : `Your plan for today, ${left} times.`,
	again: "You have done it once today. Here it is again.",
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
	minutes: (minutes: number) => `About ${minutes} minutes`,
	legs: { left: "Left leg", right: "Right leg" },
	doneMark: "Done",
	streak: (days: number) =>
		days === 0
			? "Today is a good day to begin."
			: days === 1
				? "You did your exercises last time. Nice."
				: `You did your exercises ${days} days in a row. Nice.`,
	lately: (days: number) =>
		days === 1 ? "In the last 4 weeks: 1 day." : `In the last 4 weeks: ${days} days.`,
	simulated: "Simulated",
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
	},
	pain: {
		before: "How much does your leg hurt now?",
		after: "How much did it hurt?",
		none: "No pain",
		worst: "The worst you can think of",
	},
	finished: {
		title: "Well done",
		text: "That was everything for now.",
		early: "You stopped early, and that is fine.",
		tomorrow:
			"Think about your leg tomorrow morning. If it still hurts more than before, do less and tell your therapist.",
		takeOff: "You can take the band off.",
		close: "Done",
	},
	lock: {
		open: "For the therapist",
		title: "Leave home mode",
		pin: "PIN",
		leave: "Leave home mode",
		text: "Leaving opens people, records and settings.",
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
