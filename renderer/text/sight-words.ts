/** What a band sees, what fat does and how strongly a picture is smoothed, in words. */
import type { BandStudy } from "../../app/contract.ts";
import { type FatSource, fatUncertainty, USUAL_FAT } from "../../core/limb/fat.ts";
import { LEAST_SHARE, LEAST_SIGNAL, MOST_LEAK } from "../../core/picture/region-sight.ts";
import { LEAST_DETECTED, LEAST_SEEN } from "../../core/picture/sight-grade.ts";
import { isSeveral } from "./muscle-names.ts";
import { formatQuantity } from "./quantity.ts";

export type MeritName = keyof BandStudy["merit"];

const percent = (share: number) => formatQuantity(100 * share, 0, "%");
const millimetres = (metres: number, digits = 0) => formatQuantity(1000 * metres, digits, "mm");

export const sightWords = {
	title: "What can this band see?",
	lead: "Computed for the thigh and band above. A small spot of changed conductivity is moved from the middle to the skin; what the picture makes of it tells how far it can be trusted there.",
	leadOfMany:
		"This is about one band alone, at the circumference above. What all bands tell together is in the volume.",
	working: "Computing: this takes a few seconds …",
	waiting: "Is computed as soon as it is on the screen and the fields above are right.",
	stale: "Computing it for the measures above …",
	towards: "From the middle to the",
	directions: { front: "front", outer: "outer side", back: "back", inner: "inner side" },
	distance: "cm from the middle",
	wanted: (within: string) =>
		`Shaded: what Adler et al. (Physiol. Meas. 30:S35, 2009) ask for: small, and the same at all places. They name no figures (from memory); how wide the shading is, and that it reaches over ${within} of the way to the skin, is this program’s. A plain disc keeps within it; fat under the skin and few electrodes lead out of it.`,
	target: (radius: string) => `The spot has a radius of ${radius}.`,
	merits: {
		amplitude: {
			name: "Amplitude response",
			text: "How much of the change is shown in all. 1 everywhere would be right.",
		},
		positionError: {
			name: "Position error",
			text: "How far towards the middle it is shown, as a share of the radius.",
		},
		resolution: { name: "Resolution", text: "Size of the smallest thing shown, as a share of the whole." },
		shapeDeformation: {
			name: "Shape deformation",
			text: "Share of what is shown that lies outside of a round spot.",
		},
		ringing: { name: "Ringing", text: "False change of the opposite sign around it, over the true one." },
	} satisfies Record<MeritName, { name: string; text: string }>,
	meritCanvas: (name: string, low: string, high: string) =>
		`${name} along the radius, from ${low} to ${high}`,
	map: "Sensitivity",
	mapText:
		"How strongly all readings together answer to a change at each place, each in its noise; each mark on the scale is a tenth of the one to its right.",
	mapCanvas: "Map of the sensitivity over the cross-section, seen from the foot",
	mapEnds: { high: "strongest", low: "a thousandth" },
	regions: "Muscles",
	region: "Muscle",
	verdict: "Verdict",
	grades: { well: "Seen well", poorly: "Seen poorly", not: "Not seen" },
	shown: "Shown of a change",
	leak: "Most shown in another",
	noise: "Over the noise",
	troubles: {
		"too-little": "too little of it is shown",
		"others-show-it": "other muscles show it, too",
		noise: "the noise comes near it",
	},
	rule: `Seen well: at least ${percent(LEAST_SHARE)} of a muscle’s change is shown, other muscles show at most ${percent(MOST_LEAK)} of that, and a change by a tenth stands ${LEAST_SIGNAL} times above the noise at rest. Not seen: less than ${percent(LEAST_SEEN)} is shown, or it stands less than ${LEAST_DETECTED} times above the noise. These limits are this program’s; they have no published source.`,
	noNoise:
		"Noise is left out: no rest was taken with a band of so many electrodes. With one, the verdicts may be less kind.",
	fat: "If the fat is off",
	fatWorking: "Computing what an error of the fat would do …",
	fatLead: (entered: string) =>
		`Fat moves the readings more than a muscle does. Suppose that ${entered} were entered but the truth is another:`,
	fatThicker: "If 3 mm thicker, reads",
	fatThinner: "If 3 mm thinner, reads",
	fatThinnerBy: (by: string) => `If ${by} thinner, reads`,
	fatSentence: (name: string, by: string, way: "lower" | "higher") =>
		`If the fat is 3 mm thicker, ${name.toLowerCase()} ${isSeveral(name) ? "read" : "reads"} ${by} ${way} than ${isSeveral(name) ? "they" : "it"} should: the most of all muscles.`,
	fatNote:
		"Values shift by about the same share at every visit, so changes over time on one thigh hold; values of two people do not compare.",
	reads: (share: number) => `${percent(Math.abs(share))} too ${share < 0 ? "low" : "high"}`,
} as const;

export const fatWords = {
	source: "How the fat was measured",
	sources: { ultrasound: "Ultrasound", skinfold: "Skinfold", assumed: "Not measured" },
	skinfold: "Skinfold, over the front",
	hint: "At the front of the thigh, at the band’s height.",
	hints: {
		ultrasound: `From the skin to the muscle, the probe hardly pressing. Good to about ± ${millimetres(fatUncertainty.ultrasound)} (common practice, no source).`,
		assumed: `${millimetres(USUAL_FAT)} is used, give or take ${millimetres(fatUncertainty.assumed)}: thighs of middle-aged adults measured 10.4 ± 4.1 mm (Mechelli, JCSM Clin. Rep. 4). By ultrasound women have about 14 to 16 mm there, men 8 to 9 mm (from Agyapong-Badu et al., 2014).`,
	},
	foldHint: (thickness: string | null) =>
		`A fold is two layers of skin and fat: half of it${thickness === null ? "" : `, ${thickness},`} is used. Good to about ± ${millimetres(fatUncertainty.skinfold)} (common practice, no source).`,
	known: (thickness: string, source: FatSource) =>
		`${thickness} ± ${millimetres(fatUncertainty[source])}, ${knownFrom[source]}`,
} as const;

const knownFrom: Readonly<Record<FatSource, string>> = {
	ultrasound: "from ultrasound",
	skinfold: "from a skinfold",
	assumed: "assumed, not measured",
};

export const strengthWords = {
	title: "Picture settings",
	lead: "How pictures are computed from readings. What is chosen here is stored with each session, and its replay uses it.",
	link: "Picture settings",
	linkText: "Prior, smoothing and allowance for movement are chosen in a place of their own.",
	movement: "Allow for the band moving with the limb",
	movements: { no: "No", yes: "Yes" },
	movementText:
		"A thigh changes its shape when it works, and takes the electrodes with it. With this on, what such a movement of about 1 % could explain is not painted as a change of a muscle (Soleimani, Gómez-Laberge & Adler, Physiol. Meas. 27:S103, 2006). Some true change looks like movement and goes with it: compare only sessions with the same choice.",
	drift: "Let the rest follow slow drift",
	drifts: { no: "No", yes: "Yes" },
	driftText:
		"Skin, gel and posture make readings creep over minutes. With this on, changes are counted from the newest stretch of rest, never from within a hold, an exercise or a reference contraction, nor while electrodes are left out. Lines are marked where that happened.",
	strength: "How strongly pictures are smoothed",
	strengthText:
		"λ weighs what is believed beforehand against the readings. A small λ shows detail and noise alike, a large one only blur.",
	noPicture: "Needs a band that streams and a rest baseline: then the choice can be shown here.",
	curve: "Curve",
	curves: { "noise-figure": "Noise figure", gcv: "Cross-validation", "l-curve": "L-curve" },
	curveTexts: {
		"noise-figure":
			"How many times worse the picture’s signal stands over its noise than the readings’ does (Adler & Guardo, IEEE Trans. Med. Imaging 15:170, 1996). The rule takes the least λ that reaches the target.",
		gcv: "How badly left-out readings would be predicted (Golub, Heath & Wahba, Technometrics 21:215, 1979). The rule takes the lowest point; it is often flat.",
		"l-curve":
			"Size of the picture against what it leaves unexplained (Hansen, SIAM Rev. 34:561, 1992), from small λ above left to large λ below right. The rule takes the corner.",
	},
	expected:
		"Cross-validation and L-curve are computed for the signal to be expected: a small change in the middle at ten times the noise.",
	axes: {
		"noise-figure": { x: "λ", y: "noise figure" },
		gcv: { x: "λ", y: "cross-validation" },
		"l-curve": { x: "unexplained", y: "size of the picture" },
	},
	curveCanvas: (name: string, inUse: string, tried: string) =>
		`${name} over the strength λ; in use ${inUse}, tried ${tried}`,
	inUse: "In use",
	tried: "Tried",
	try: "Try a strength",
	choices: "What the rules would choose",
	picturesTitle: "Side by side",
	picturesText: "The newest frame at both strengths, on one colour scale.",
	hold: "Hold this moment",
	holdOff: "Go on live",
	facts: (lambda: string, noiseFigure: string) => `λ = ${lambda}, noise figure ${noiseFigure}`,
	use: "Use the tried strength",
	putBack: "Back to the rule’s choice",
	reset: "Try what is in use",
	byRule: (rule: string) => `chosen by ${rule}`,
	byHand: "set by hand",
	stored: "Stored with sessions that are recorded from now on.",
	pictureCanvas: (which: string) => `Picture of the newest frame at the strength ${which}`,
} as const;
