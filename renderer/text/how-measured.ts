/** How a session was measured and how good its readings were, row by row in words: on the review and on paper. */
import type { LimbSetup, NextMorning, SessionReview } from "../../app/contract.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { checkSummary, checkWords } from "./check-words.ts";
import { formatScore } from "./measure.ts";
import {
	formatCount,
	formatDateTime,
	formatDay,
	formatFrequency,
	formatQuantity,
	unitText,
} from "./quantity.ts";
import { fatWords, strengthWords } from "./sight-words.ts";
import { words } from "./words.ts";

export interface Fact {
	readonly name: string;
	readonly value: string;
}

export function howMeasured({
	measured,
	conditions,
	references,
	nextMorning,
}: SessionReview): readonly Fact[] {
	const facts: Fact[] = [];
	const add = (name: string, value: string | null): void => {
		if (value !== null) facts.push({ name, value });
	};
	const { limb, band } = measured;
	add("Thigh", limb === null ? null : limbWords(limb.side, createOutline(limb.outline).circumference));
	add("Fat under the skin", limb === null ? null : fatThicknessWords(limb));
	add("Band", band === null ? null : band.name);
	add(
		"Electrodes",
		band === null
			? null
			: `${band.electrodeCount}, ${formatQuantity(1000 * band.electrodeWidth, 1, "mm")} wide`,
	);
	add(
		"Band’s place",
		limb === null || band === null
			? null
			: `${formatQuantity(100 * limb.level, 0, "%")} of the thigh above the knee; electrode 1 at ${formatQuantity(
					band.firstElectrodeDegrees,
					0,
					"°",
				).replace("\u00a0", "")} from the front`,
	);
	add("Board", measured.board);
	for (const drive of measured.drives) {
		const which = measured.drives.length > 1 ? `, band ${drive.bandIndex + 1}` : "";
		add(
			`Drive${which}`,
			`${drive.drive}, ${drive.terminals}, ${formatCount(drive.readingCount)} readings a frame`,
		);
		add(
			`Current${which}`,
			`${formatQuantity(drive.currentMilliamp, 2, "mA")} r.m.s. at ${formatFrequency(drive.frequencyHertz)}`,
		);
	}
	for (const picture of measured.pictures) {
		const which = measured.pictures.length > 1 ? `, band ${picture.bandIndex + 1}` : "";
		add(
			`Picture${which}`,
			`${words.about.priors[picture.prior]} prior; λ = ${picture.lambda.toPrecision(3)} ${chosenBy(picture)}; noise figure ${picture.noiseFigure.toFixed(2)}; in ${unitText(picture.unit)}${picture.allowsMovement ? "; movement of the skin allowed for" : ""}`,
		);
	}
	add("Signal check", measured.check === null ? checkWords.never : checkSummary(measured.check));
	add("Rest baseline", baselineWords(measured.baselines));
	add(
		"Reference contraction",
		conditions === null
			? null
			: references.length === 0
				? "none: engagement is the plain change"
				: references.map(referenceWords).join("; "),
	);
	add("Pain on the morning after", nextMorning === null ? null : morningWords(nextMorning));
	add("Software", softwareWords(measured));
	return facts;
}

export function qualityFacts({ quality }: SessionReview): readonly Fact[] {
	const bad = Object.values(quality.bad).reduce((sum, count) => sum + count, 0);
	const known = quality.contacts.filter((ohm) => ohm !== null).sort((a, b) => a - b);
	const facts = [
		{
			name: "Frames",
			value: `${formatCount(quality.frames)}; ${shareWords(quality.lost, quality.frames + quality.lost)} lost, ${formatCount(bad)} bad lines`,
		},
		{
			name: "Readings that could be used",
			value: quality.usableShare === null ? "not known" : formatQuantity(100 * quality.usableShare, 1, "%"),
		},
	];
	return [
		...facts,
		{
			name: "Contact impedance",
			value:
				known.length === 0
					? "not checked"
					: `${ohmWords(known[0]!)} to ${ohmWords(known.at(-1)!)}, median ${ohmWords(known[known.length >> 1]!)}${
							known.length < quality.contacts.length
								? `; unreadable at ${quality.contacts.length - known.length}`
								: ""
						}`,
		},
	];
}

/** Such as `4 of 10, not settled (5 Mar 2026)`. */
export function morningWords({ pain, verdict, toldAt }: NextMorning): string {
	const verdicts = {
		settled: "settled",
		"not-settled": "not settled",
		"too-high": "above what is acceptable",
	} as const;
	return `${formatScore(pain)} of 10, ${verdicts[verdict]} (${formatDay(toldAt)})`;
}

function limbWords(side: "left" | "right", circumference: number): string {
	const name = side === "left" ? words.picture.leftThigh : words.picture.rightThigh;
	return `${name}, ${formatQuantity(100 * circumference, 1, "cm")} around`;
}

function fatThicknessWords({ fatThickness, fatSource }: LimbSetup): string {
	const thickness = formatQuantity(1000 * fatThickness, 0, "mm");
	return fatSource === undefined ? thickness : fatWords.known(thickness, fatSource);
}

function chosenBy({ rule, lambdaByHand }: SessionReview["measured"]["pictures"][number]): string {
	return lambdaByHand === null ? `by ${words.about.rules[rule].toLowerCase()}` : strengthWords.byHand;
}

function baselineWords(baselines: SessionReview["measured"]["baselines"]): string {
	const last = baselines.at(-1);
	if (last === undefined) return "none in this recording";
	const more = baselines.length > 1 ? `, the last of ${baselines.length}` : "";
	return `${formatQuantity(last.seconds, 0, "s")}, ${formatDateTime(last.takenAt)}${last.automatic ? ", automatic" : ""}${more}`;
}

function referenceWords({ takenAt, protocol }: SessionReview["references"][number]): string {
	return `${protocol.target}, ${formatDay(takenAt)}, ${protocol.contractions} ${protocol.effort} ${protocol.contractions === 1 ? "contraction" : "contractions"} of ${formatQuantity(
		protocol.contractionSeconds,
		0,
		"s",
	)}`;
}

function softwareWords({ appVersion, pictures }: SessionReview["measured"]): string {
	const versions = [...new Set(pictures.map(({ algorithmVersion }) => algorithmVersion))];
	const app = `${words.product} ${appVersion}`;
	return versions.length === 0 ? app : `${app}, pictures ${versions.join(", ")}`;
}

function ohmWords(ohm: number): string {
	return ohm >= 1000 ? formatQuantity(ohm / 1000, 1, "kΩ") : formatQuantity(ohm, 0, "Ω");
}

function shareWords(part: number, whole: number): string {
	return `${formatCount(part)} (${formatQuantity(whole === 0 ? 0 : (100 * part) / whole, 1, "%")})`;
}
