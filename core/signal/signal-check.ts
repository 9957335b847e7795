/**
 * The signal check before a session: what each step found, and what that means. Findings are plain values that are kept
 * with the session; nothing here measures.
 *
 * Bounds, as in `contact.ts` and `quality.ts`: contact at about 50 kHz below 1 kΩ good, to 3 kΩ fair, to 10 kΩ poor, above
 * off; reciprocity on skin at most 2 % good, above 5 % no good; signal above noise 60 dB good, below 40 dB no good: all
 * common practice without a published source. That a picture can do without one or two electrodes of 16 but hardly
 * without more follows Hartinger, Guardo, Adler & Gagnon (IEEE Trans. Biomed. Eng. 2009), who found one faulty electrode
 * always and two in four of five cases.
 */
import type { ContactVerdict } from "./contact.ts";
import type { RangingOutcome } from "./ranging.ts";

export const checkSteps = ["link", "band", "contact", "drive", "noise", "rest"] as const;
export type CheckStepId = (typeof checkSteps)[number];

export interface BandContacts {
	readonly bandIndex: number;
	/** [nElectrodes] ohm; null where it could not be read. */
	readonly ohm: readonly (number | null)[];
	/** [nElectrodes] */
	readonly verdicts: readonly ContactVerdict[];
}

export interface BandDrive {
	readonly bandIndex: number;
	readonly limitMilliamp: number;
	readonly frequencyHertz: number;
	/** Whether the board lets itself be set. */
	readonly takesCommands: boolean;
	readonly outcome: RangingOutcome;
}

export interface BandNoise {
	readonly bandIndex: number;
	readonly signalToNoiseDecibel: number;
	readonly weakestDecibel: number;
	/** Median and 95th percentile over the pairs; null where the pattern has none. */
	readonly reciprocityPercent: number | null;
	readonly reciprocityHighPercent: number | null;
	/** Electrodes from 0 that break most of their pairs. */
	readonly suspects: readonly number[];
}

export type CheckFinding =
	| { readonly step: "link"; readonly isStreaming: boolean }
	| {
			readonly step: "band";
			/** Of each band of the board that has told its settings. */
			readonly electrodeCounts: readonly number[];
			readonly bandCount: number;
			/** What the set-up says a band has. */
			readonly expectedElectrodes: number;
			readonly pattern: string;
	  }
	/** Without bands: the board tells no contact. */
	| { readonly step: "contact"; readonly bands: readonly BandContacts[] }
	| { readonly step: "drive"; readonly bands: readonly BandDrive[] }
	/** Without bands: too few frames came. */
	| { readonly step: "noise"; readonly bands: readonly BandNoise[] }
	| {
			readonly step: "rest";
			/** `refused`: something else stood in the way, such as no frames. */
			readonly outcome: "taken" | "moved" | "refused";
			readonly seconds: number;
			/** How far the level moved; null unless it moved too far. */
			readonly driftPercent: number | null;
			/** Of the first band; null unless taken. */
			readonly signalToNoiseDecibel: number | null;
	  };

export type FindingVerdict = "good" | "advice" | "stopped";

export type CheckStatus =
	| "waiting"
	| "running"
	| FindingVerdict
	/** It stopped, and somebody decided to go on all the same. */
	| "passed-over";

export interface CheckStep {
	readonly id: CheckStepId;
	readonly status: CheckStatus;
	/** Of the last time that it was done. */
	readonly finding: CheckFinding | null;
}

/** As it is kept with a session. */
export interface CheckResult {
	/** RFC 3339 with offset. */
	readonly endedAt: string;
	readonly seconds: number;
	readonly steps: readonly CheckStep[];
}

export const decibelBounds = { good: 60, least: 40 } as const;
export const reciprocityBounds = { good: 2, most: 5 } as const;
/** A picture can do without so many of a band's electrodes. */
const SPARE_SHARE = 1 / 8;

export function judgeFinding(finding: CheckFinding): FindingVerdict {
	switch (finding.step) {
		case "link":
			return finding.isStreaming ? "good" : "stopped";
		case "band":
			return isExpectedBand(finding) ? "good" : "stopped";
		case "contact":
			return finding.bands.length === 0 ? "advice" : worst(finding.bands.map(judgeContact));
		case "drive":
			return worst(finding.bands.map(({ outcome }) => driveVerdicts[outcome.verdict]));
		case "noise":
			return finding.bands.length === 0 ? "stopped" : worst(finding.bands.map(judgeNoise));
		case "rest":
			return finding.outcome === "taken" ? "good" : "stopped";
	}
}

/** Whether one may go on although the step stopped: never without a link, the right band or a rest. */
export function canPassOver(finding: CheckFinding): boolean {
	switch (finding.step) {
		case "link":
		case "band":
		case "rest":
			return false;
		case "contact":
			return finding.bands.every(
				({ verdicts }) =>
					verdicts.filter((verdict) => verdict === "off").length <= SPARE_SHARE * verdicts.length,
			);
		case "drive":
			return finding.bands.every(({ outcome }) => !outcome.reasons.includes("no-frames"));
		case "noise":
			return finding.bands.length > 0;
	}
}

/** What the whole check says, from steps that are all done: the worst of them. */
export function overallOf(steps: readonly CheckStep[]): FindingVerdict {
	return worst(
		steps.map(({ status }) => (status === "good" ? "good" : status === "advice" ? "advice" : "stopped")),
	);
}

const driveVerdicts = { good: "good", fair: "advice", failed: "stopped" } as const;

function isExpectedBand(finding: Extract<CheckFinding, { readonly step: "band" }>): boolean {
	const { electrodeCounts, bandCount, expectedElectrodes } = finding;
	return (
		electrodeCounts.length > 0 &&
		electrodeCounts.length === bandCount &&
		electrodeCounts.every((count) => count === expectedElectrodes)
	);
}

function judgeContact({ verdicts }: BandContacts): FindingVerdict {
	if (verdicts.includes("off")) return "stopped";
	return verdicts.includes("poor") || verdicts.includes("fair") ? "advice" : "good";
}

function judgeNoise({ signalToNoiseDecibel, reciprocityPercent, suspects }: BandNoise): FindingVerdict {
	const reciprocity = reciprocityPercent ?? 0;
	if (signalToNoiseDecibel < decibelBounds.least || reciprocity > reciprocityBounds.most) return "stopped";
	const isGood =
		signalToNoiseDecibel >= decibelBounds.good &&
		reciprocity <= reciprocityBounds.good &&
		suspects.length === 0;
	return isGood ? "good" : "advice";
}

function worst(verdicts: readonly FindingVerdict[]): FindingVerdict {
	if (verdicts.includes("stopped")) return "stopped";
	return verdicts.includes("advice") ? "advice" : "good";
}
