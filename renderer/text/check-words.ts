/** The signal check in words: what each step found, and what to do about it. */
import type { CheckState, RangingCause } from "../../app/contract.ts";
import type { ContactVerdict } from "../../core/signal/contact.ts";
import type { RangingReason } from "../../core/signal/ranging.ts";
import {
	type BandContacts,
	type BandDrive,
	type CheckFinding,
	type CheckResult,
	type CheckStatus,
	type CheckStepId,
	decibelBounds,
	overallOf,
	reciprocityBounds,
} from "../../core/signal/signal-check.ts";
import { formatDateTime, formatFrequency, formatQuantity } from "./quantity.ts";

export const checkWords = {
	title: "Signal check",
	lead: "Band on, legs still. The check runs by itself and takes about 15 seconds.",
	due: "Check the signal",
	dueText: "The signal has not been checked today with this band on this limb.",
	open: "Check the signal",
	start: "Start the check",
	tryAgain: "Try again",
	again: (step: string) => `Again from: ${step}`,
	againShort: "Again",
	anew: "Check again",
	goOn: "Go on all the same",
	toConnect: "Connect a band",
	toSetUp: "Change the set-up",
	toLive: "To the live picture",
	toExercises: "To the exercises",
	running: "Checking …",
	sitStill: "Sit still and let the leg rest.",
	steps: {
		link: "Link",
		band: "Band",
		contact: "Contact",
		drive: "Current and gain",
		noise: "Noise",
		rest: "Rest baseline",
	},
	doing: {
		link: "Waiting for frames …",
		band: "Asking the board for its bands …",
		contact: "Measuring contact …",
		drive: "Raising the current in steps, then choosing a gain …",
		noise: "Listening …",
		rest: "Sit still and let the leg rest …",
	},
	statuses: {
		waiting: "Not yet",
		running: "Running",
		good: "Good",
		advice: "Usable",
		stopped: "Stopped",
		"passed-over": "Gone on all the same",
	},
	overall: {
		good: "All good. Ready to measure.",
		advice: "Usable. Look at the advice, or measure now.",
		stopped: "Measured all the same, although not all was good.",
	},
	ring: "Contact of each electrode",
	ringText: (side: string) => `Band on the ${side} thigh, seen from the foot; the front is up.`,
	ringUnknown: "This board does not measure contact.",
	contacts: { good: "good", fair: "fair", poor: "poor", off: "off the skin", unknown: "not known" },
	cautionsNeeded: "Go through the cautions with this person first.",
	toPerson: "To the person",
	ranging: {
		proposal: {
			asked: "",
			clipping: "Readings are too large for the board’s gain.",
			"limb-changed": "Another limb was set up: current and gain may not fit it.",
			"limit-changed": "The current limit was changed: another gain may fit.",
		} satisfies Record<RangingCause, string>,
		act: "Set current and gain anew",
		costs: "A new rest baseline is taken then.",
		running: "Setting current and gain …",
	},
	limit: {
		title: "Current limit",
		label: "Largest current allowed",
		hint: (most: string) => `Below ${most} if you wish; never above it, nor above what its frequency allows.`,
		set: "Set the limit",
		usual: "Back to the usual limit",
		lowered: "Lowered",
	},
	never: "not checked",
} as const;

export interface StepWords {
	readonly found: string;
	/** What to do; null where there is nothing. */
	readonly advice: string | null;
}

export function stepWords(finding: CheckFinding): StepWords {
	switch (finding.step) {
		case "link":
			return finding.isStreaming
				? { found: "Frames are coming in.", advice: null }
				: {
						found: "No frames come in.",
						advice: "Switch the board on and connect it. The check goes on by itself once frames come.",
					};
		case "band":
			return bandWords(finding);
		case "contact":
			return contactStepWords(finding.bands);
		case "drive":
			return driveWords(finding.bands);
		case "noise":
			return noiseWords(finding.bands);
		case "rest":
			return restWords(finding);
	}
}

function bandWords({
	electrodeCounts,
	bandCount,
	expectedElectrodes,
}: Extract<CheckFinding, { step: "band" }>): StepWords {
	if (electrodeCounts.length === 0 || electrodeCounts.length < bandCount) {
		return {
			found: `${electrodeCounts.length} of ${bandCount} bands have said what they are.`,
			advice: "Plug in every band, then try again.",
		};
	}
	const other = electrodeCounts.find((count) => count !== expectedElectrodes);
	if (other !== undefined) {
		return {
			found: `The band has ${other} electrodes, the set-up says ${expectedElectrodes}.`,
			advice: "Put on the band of the set-up, or change the set-up.",
		};
	}
	const bands = bandCount === 1 ? "1 band" : `${bandCount} bands`;
	return { found: `${bands} of ${expectedElectrodes} electrodes, as in the set-up.`, advice: null };
}

const ORDER = ["off", "poor", "fair"] as const satisfies readonly ContactVerdict[];
const contactAdvice = {
	off: (numbers: string) => `Press or wet ${numbers}.`,
	poor: (numbers: string) => `Wet ${numbers}, or pull the band tighter.`,
	fair: (numbers: string) => `It will get better as the skin warms up; wet ${numbers} if it does not.`,
} as const;

function contactStepWords(bands: readonly BandContacts[]): StepWords {
	if (bands.length === 0) {
		return {
			found: checkWords.ringUnknown,
			advice: "Make sure that every electrode lies flat on moist skin.",
		};
	}
	const known = bands.flatMap(({ ohm }) => ohm.filter((value) => value !== null)).sort((a, b) => a - b);
	const median = known[known.length >> 1];
	const typical = median === undefined ? "" : ` Half are below ${ohmText(median)}.`;
	for (const verdict of ORDER) {
		const numbers = bands.flatMap(({ bandIndex, verdicts }) =>
			verdicts.flatMap((one, e) =>
				one === verdict ? [bands.length > 1 ? `${e + 1} of band ${bandIndex + 1}` : String(e + 1)] : [],
			),
		);
		if (numbers.length === 0) continue;
		const which = `electrode${numbers.length === 1 ? "" : "s"} ${listed(numbers)}`;
		return {
			found: `${capital(which)}: ${verdict === "off" ? "off the skin" : `${verdict} contact`}.${typical}`,
			advice: contactAdvice[verdict](which),
		};
	}
	return { found: `All electrodes touch well.${typical}`, advice: null };
}

const reasonWords: Record<RangingReason, string> = {
	"current-at-limit": "the current is the most that is allowed",
	"current-at-most": "the current is the most that the board can drive",
	"current-lowered": "more current would be too much for the converter",
	"current-refused": "the board refused another current",
	"gain-at-most": "the board has no larger gain",
	"gain-at-least": "the board has no smaller gain",
	"gain-refused": "the board refused another gain",
	"still-clipped": "readings are still too large",
	"full-scale-unknown": "the board does not say how large a reading may be",
	"no-frames": "no frames came",
	"board-silent": "the board did not answer",
	"out-of-time": "there was no time for a better one",
	"takes-no-commands": "this board sets itself and takes no commands",
};

/** What was chosen, and why. */
export function driveWords(bands: readonly BandDrive[]): StepWords {
	const found = bands.map((band) => {
		const which = bands.length > 1 ? `Band ${band.bandIndex + 1}: ` : "";
		const { currentMilliamp, gain, largestShare, reasons } = band.outcome;
		const level =
			largestShare === null
				? ""
				: `, largest reading at ${formatQuantity(Math.min(100, 100 * largestShare), 0, "%")}`;
		const why = reasons.length === 0 ? "" : `: ${reasons.map((reason) => reasonWords[reason]).join("; ")}`;
		return `${which}${currentText(currentMilliamp)} at ${formatFrequency(band.frequencyHertz)}, gain ${formatQuantity(gain, gain < 10 ? 1 : 0, "×")}${level}${why}.`;
	});
	return { found: found.join(" "), advice: driveAdvice(bands) };
}

function driveAdvice(bands: readonly BandDrive[]): string | null {
	const reasons = new Set(bands.flatMap(({ outcome }) => outcome.reasons));
	if (reasons.has("still-clipped")) {
		return reasons.has("takes-no-commands")
			? "Lower the gain on the board itself."
			: "Press the electrodes on, then try again. If it stays, the board needs a smaller gain.";
	}
	if (reasons.has("board-silent") || reasons.has("no-frames")) {
		return "Check the cable or move closer, then try again.";
	}
	if (reasons.has("gain-at-most") && bands.some(({ outcome }) => outcome.verdict !== "good")) {
		return "Readings are small: expect more noise.";
	}
	if (reasons.has("takes-no-commands")) return "Nothing to do here: current and gain are set on the board.";
	if (reasons.has("full-scale-unknown"))
		return "Watch for flat tops in the lines: they would not be noticed.";
	return null;
}

function noiseWords(bands: Extract<CheckFinding, { step: "noise" }>["bands"]): StepWords {
	if (bands.length === 0) {
		return { found: "Too few frames came.", advice: "Check the cable or move closer, then try again." };
	}
	const decibel = Math.min(...bands.map(({ signalToNoiseDecibel }) => signalToNoiseDecibel));
	const errors = bands.map(({ reciprocityPercent }) => reciprocityPercent).filter((error) => error !== null);
	const worst = errors.length === 0 ? null : Math.max(...errors);
	const suspects = bands.flatMap(({ suspects: own }) => own.map((electrode) => electrode + 1));
	const found = `Signal ${formatQuantity(decibel, 0, "dB")} above its noise${
		worst === null ? "" : `, reciprocity error ${formatQuantity(worst, 2, "%")}`
	}.`;
	if (suspects.length > 0) {
		const which = `electrode${suspects.length === 1 ? "" : "s"} ${listed(suspects.map(String))}`;
		return { found, advice: `Most readings of ${which} do not agree with each other: press or wet it.` };
	}
	if (decibel < decibelBounds.good) {
		return { found, advice: "Move away from chargers and motors, keep the cable still, wet the electrodes." };
	}
	if (worst !== null && worst > reciprocityBounds.good) {
		return { found, advice: "Keep still, and press the electrodes on evenly." };
	}
	return { found, advice: null };
}

function restWords(finding: Extract<CheckFinding, { step: "rest" }>): StepWords {
	const seconds = formatQuantity(finding.seconds, 0, "s");
	switch (finding.outcome) {
		case "taken":
			return { found: `Taken over ${seconds} of rest.`, advice: null };
		case "moved":
			return {
				found: `The leg moved: readings changed by ${formatQuantity(finding.driftPercent ?? 0, 1, "%")}.`,
				advice: "Support the leg, let it go loose, and try again.",
			};
		case "refused":
			return { found: "No rest could be taken.", advice: "See that frames come in, then try again." };
	}
}

/** What the live screen says of a proposal; null without one. */
export function proposalWords({ proposal }: CheckState["ranging"]): string | null {
	return proposal === null ? null : checkWords.ranging.proposal[proposal];
}

/** A whole check on one line, for the review and on paper. */
export function checkSummary(check: CheckResult): string {
	const words = { good: "good", advice: "usable", stopped: "gone on although not all was good" } as const;
	const of = (id: CheckStepId): string | null => {
		const step = check.steps.find((one) => one.id === id);
		if (step === undefined || step.finding === null) return null;
		const { found } = stepWords(step.finding);
		return step.status === "passed-over" ? `${found} (gone on all the same)` : found;
	};
	const parts = [of("contact"), of("drive"), of("noise")].filter((part) => part !== null);
	return `${formatDateTime(check.endedAt)}: ${words[overallOf(check.steps)]}. ${parts.join(" ")}`;
}

export const statusIcons = {
	waiting: "info",
	running: "refresh",
	good: "check",
	advice: "caution",
	stopped: "stop",
	"passed-over": "caution",
} as const satisfies Record<CheckStatus, string>;

export function ohmText(ohm: number): string {
	return ohm >= 1000 ? formatQuantity(ohm / 1000, 1, "kΩ") : formatQuantity(ohm, 0, "Ω");
}

export function currentText(milliamp: number): string {
	return formatQuantity(milliamp, 2, "mA");
}

function listed(numbers: readonly string[]): string {
	return numbers.length <= 1
		? (numbers[0] ?? "")
		: `${numbers.slice(0, -1).join(", ")} and ${numbers.at(-1)}`;
}

function capital(text: string): string {
	return text.charAt(0).toUpperCase() + text.slice(1);
}
