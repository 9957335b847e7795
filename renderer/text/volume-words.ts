/** What the volume screen says. */
import type { VolumeGap } from "../../app/contract.ts";
import type { BandSlip } from "../../core/signal/band-slips.ts";
import type { Orbit } from "../draw/orbit.ts";
import { listText } from "./left-out-words.ts";
import { isSeveral } from "./muscle-names.ts";
import { formatQuantity } from "./quantity.ts";

export const volumeWords = {
	title: "Volume",
	hip: "Hip",
	knee: "Knee",
	view: "Seen from",
	seenFrom: (orbit: Orbit, side: "left" | "right" | null) => `Seen from the ${placeWords(orbit, side)}`,
	views: {
		front: "Front",
		back: "Back",
		medial: "Medial",
		lateral: "Lateral",
		foot: "Foot",
	},
	start: "Start view",
	startHint: "Back to where the view began (Home)",
	canvas: (regions: string) =>
		`Thigh in three dimensions, with its bands and coloured by the change in conductivity. ${regions}. Arrows turn it, plus and minus zoom, Home goes back, 1 to 5 are the fixed views.`,
	keys: "Drag or arrows turn, wheel or plus and minus zoom, Home goes back, 1 to 5 are the fixed views.",
	crossings: "Cross-sections",
	crossingsHint: "At each band and between",
	sagittal: "Lengthwise, front to back",
	coronal: "Lengthwise, side to side",
	surface: "Surface of equal change",
	show: (what: string) => `Show: ${what}`,
	place: (what: string) => `Place of: ${what}`,
	surfaceAt: (value: string) => `± ${value}`,
	fromMiddle: (metre: number, towards: string) =>
		Math.abs(metre) < 0.0005 ? "through the middle" : `${centimetres(Math.abs(metre))} ${towards}`,
	left: "to the left",
	right: "to the right",
	front: "to the front",
	back: "to the back",
	section: (metre: number) => `${centimetres(metre)} above the knee cap`,
	sectionSub: (band: number | null) =>
		band === null ? "Cross-section between or beyond the bands" : `Cross-section at band ${band + 1}`,
	placePlanes: "Click or drag: the lengthwise planes go through there",
	height: "Height of the cross-section",
	heightValue: (metre: number) => `${centimetres(metre)} above the knee cap`,
	atBand: (band: number) => `Band ${band + 1}`,
	most: (region: string, change: string) =>
		`${region} ${isSeveral(region) ? "change" : "changes"} most: ${change}.`,
	next: (region: string, change: string) =>
		`Next ${isSeveral(region) ? "are" : "is"} ${region} with ${change}.`,
	still: "No muscle changes by more than the noise at rest.",
	/** @param leftOut [bands] numbers of electrodes; null where there are none */
	without: (leftOut: readonly (readonly number[])[]): string | null => {
		const places = leftOut.flatMap((numbers, band) =>
			numbers.length === 0
				? []
				: [`${numbers.length === 1 ? "electrode" : "electrodes"} ${listText(numbers)} of band ${band + 1}`],
		);
		return places.length === 0 ? null : `Made without ${listText(places)}.`;
	},
	slipped: ({ bands: [moved, other], nearerMetre, turnedRad, isOne }: BandSlip) => {
		const ways: string[] = [];
		if (nearerMetre !== 0) {
			const far = `about ${Math.round(1000 * Math.abs(nearerMetre))} mm`;
			if (isOne) ways.push(`has slid ${far} ${nearerMetre > 0 ? "towards" : "away from"} band ${other + 1}`);
			else
				ways.push(
					`and band ${other + 1} are ${far} ${nearerMetre > 0 ? "nearer to each other" : "farther apart"}`,
				);
		}
		if (turnedRad !== 0)
			ways.push(
				`${nearerMetre === 0 || isOne ? "has" : "have"} turned by about ${Math.round((180 / Math.PI) * Math.abs(turnedRad))}° against ${nearerMetre === 0 ? `band ${other + 1}` : "each other"}`,
			);
		return `Band ${moved + 1} ${ways.join(" and ")} since the rest baseline. Put it back, or retake the rest baseline.`;
	},
	notTrusted: "Too many electrodes have lost the skin: do not rely on this volume.",
	notYet: "Waiting for the first picture of all bands.",
	preparing: "Preparing the volume",
	preparingText: "This takes some seconds, once for each set-up. The live picture goes on meanwhile.",
	share: (step: string, percent: number) => `${step}: ${percent} %`,
	cancel: "Cancel",
	prepare: "Prepare the volume",
	offTitle: "No volume is prepared",
	offText: "A model of this thigh in three dimensions joins all bands. It takes some seconds.",
	failed: "The volume cannot be made",
	again: "Try again",
	waitingBands: "Waiting for all bands of the board",
	waitingRest: "Waiting for a rest of all bands: keep still",
	placesTitle: "Where do the bands sit?",
	placesText:
		"Enter for each band how far above the knee cap it sits and the tape’s circumference there. Then all bands make one volume.",
	goSetUp: "Go to the set-up",
	impossible: "This recording has no volume",
	missing: {
		limb: "It is of no limb that is known here.",
		bands: "Not all bands of the board were there.",
		places:
			"Where its bands sat was not kept with it. Enter for each band its place in the set-up before you record.",
		rest: "A band has no rest baseline. Take one before you record, or while you do.",
	} satisfies Record<VolumeGap, string>,
	noGraphicsTitle: "This browser shows no three-dimensional graphics",
	noGraphicsText:
		"Switch hardware acceleration on in its settings, or open the app in another browser. The cross-section beside goes on.",
	lost: "The graphics card was taken away for a moment. The view comes back by itself.",
	drawing: "Opening the view …",
	bandCount: "Bands on this thigh",
	placesHint:
		"For the volume: where each band’s middle sits, and the tape’s circumference there. Leave empty to do without.",
	above: (band: number) => `Band ${band + 1}, above the knee cap`,
	around: (band: number) => `Band ${band + 1}, circumference`,
} as const;

/** As one would say where somebody stands: from the front, 26° to the lateral side, 26° from above. */
function placeWords({ azimuth, elevation }: Orbit, side: "left" | "right" | null): string {
	const rise = degrees(elevation);
	if (rise === 90) return "hip";
	if (rise === -90) return "foot";
	const turn = degrees(azimuth);
	const towardsLeft = turn > 0;
	const aside =
		side === null
			? towardsLeft
				? "left"
				: "right"
			: towardsLeft === (side === "left")
				? "lateral"
				: "medial";
	const around = Math.abs(turn);
	const level =
		around === 90
			? `${aside} side`
			: around < 90
				? `front${around === 0 ? "" : `, ${around}° to the ${aside} side`}`
				: `back${around === 180 ? "" : `, ${180 - around}° to the ${aside} side`}`;
	return rise === 0 ? level : `${level}, ${Math.abs(rise)}° from ${rise > 0 ? "above" : "below"}`;
}

function degrees(radians: number): number {
	return Math.round((180 * radians) / Math.PI);
}

function centimetres(metre: number): string {
	return formatQuantity(100 * metre, 1, "cm");
}
