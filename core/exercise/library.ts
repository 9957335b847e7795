import { type Dose, type Exercise, muscleRegions, quadriceps } from "./exercise.ts";

/**
 * Quadriceps exercises with usual doses to start from; the clinician's prescription always overrides. Where a dose gives
 * no rest, and for every target range, there is no source: those are starting values to be set by the clinician. The
 * order of the vastus medialis' activity, straight leg raise above standing and squatting and step-up highest, is that of
 * L. Bolgla et al., J. Sport Rehabil. 17:1, 2008. What is shown as the source of a dose names the published journal item,
 * or else says common practice; patient sheets that were read besides stand in comments, for whoever maintains this.
 */

const programme = "Sports Health 2(5):410, 2010, Table 1";
const practice = "common practice";

const always = [
	"Stop if you feel sharp pain, a pop, or your knee gives way.",
	"Stop if you feel faint, short of breath, or have pain in your chest.",
	"Stop if the skin under the band burns, itches or tingles.",
] as const;

const standing = [
	"Stand next to a table or a wall that you can hold.",
	"Do not do this if you were told to keep weight off your leg.",
] as const;

const freshRepair = "Ask first if you had surgery on your knee less than six weeks ago.";

interface Draft extends Pick<Exercise, "id" | "name" | "kind" | "instructions" | "cautions" | "doseSource"> {
	readonly dose: Dose;
	/** Counted in; the rest of the quadriceps follows. */
	readonly lead: string;
}

function libraryExercise({ lead, ...draft }: Draft): Exercise {
	return {
		...draft,
		origin: "library",
		targetRegions: [lead, ...quadriceps.filter((region) => region !== lead)],
		stopRules: [...always],
		drawing: draft.id,
	};
}

export const library: readonly Exercise[] = [
	libraryExercise({
		id: "quad-set",
		name: "Quad set",
		kind: "hold",
		lead: muscleRegions.vastusMedialis,
		dose: {
			sets: 1,
			repetitions: 10,
			holdSeconds: 6,
			pauseSeconds: 10,
			restSeconds: 60,
			target: { low: 40, high: 100 },
		},
		instructions: [
			"Sit or lie with your leg straight.",
			"Put a small rolled towel under your knee.",
			"Push your knee down into the towel. Feel the front of your thigh get firm.",
			"Keep pushing and keep breathing.",
			"Let go and rest.",
		],
		cautions: ["Do not hold your breath."],
		// 8–12 × 6 s: Kaiser Permanente, patient sheet on knee rehabilitation. 10 × 10 s each hour: Merck Manual, consumer
		// version. 15 × 5 s: a surgeon's postoperative patient sheet.
		doseSource: `8–12 × 6 s with up to 10 s rest: ${practice}. In use as well: 10 × 10 s each hour; 15 × 5 s, 2 sets, twice a day (${practice}); 4 × 25 (${programme}).`,
	}),
	libraryExercise({
		id: "straight-leg-raise",
		name: "Straight leg raise",
		kind: "repetition",
		lead: muscleRegions.rectusFemoris,
		dose: {
			sets: 3,
			repetitions: 10,
			holdSeconds: 0,
			pauseSeconds: 0,
			restSeconds: 60,
			target: { low: 40, high: 100 },
		},
		instructions: [
			"Lie on your back. Bend your good leg and keep the other leg straight.",
			"Make your thigh firm so that your knee is straight.",
			"Lift the straight leg as high as your other knee.",
			"Lower it slowly.",
		],
		cautions: ["If your back hurts, stop and tell your therapist.", freshRepair],
		// 15 × 5 s: a surgeon's postoperative patient sheet.
		doseSource: `3 × 10: ${programme}. In use as well: 15 × 5 s hold, 2 sets, 30 s rest (${practice}).`,
	}),
	libraryExercise({
		id: "terminal-knee-extension",
		name: "Last part of knee straightening",
		kind: "repetition",
		lead: muscleRegions.vastusMedialis,
		dose: {
			sets: 3,
			repetitions: 10,
			holdSeconds: 0,
			pauseSeconds: 0,
			restSeconds: 60,
			target: { low: 40, high: 100 },
		},
		instructions: [
			"Lie on your back with a thick roll under your knee.",
			"Lift your foot until your knee is straight. Keep your thigh on the roll.",
			"Lower your foot slowly.",
		],
		cautions: [freshRepair],
		// 8–12 × 6 s: Kaiser Permanente, patient sheet on knee rehabilitation.
		doseSource: `3 × 10: ${programme}. In use as well: 8–12 × 6 s, 10 s rest (${practice}).`,
	}),
	libraryExercise({
		id: "seated-knee-extension",
		name: "Seated knee straightening",
		kind: "hold",
		lead: muscleRegions.vastusLateralis,
		dose: {
			sets: 3,
			repetitions: 10,
			holdSeconds: 5,
			pauseSeconds: 3,
			restSeconds: 60,
			target: { low: 40, high: 100 },
		},
		instructions: [
			"Sit on a chair with your back straight.",
			"Lift your foot until your knee is straight.",
			"Keep it there. Breathe.",
			"Lower your foot slowly.",
		],
		cautions: [freshRepair],
		// American Academy of Orthopaedic Surgeons, knee conditioning programme.
		doseSource: `3 × 10 with a 5 s hold, 4–5 days a week: ${practice}.`,
	}),
	libraryExercise({
		id: "sit-to-stand",
		name: "Sit to stand",
		kind: "repetition",
		lead: muscleRegions.vastusLateralis,
		dose: {
			sets: 3,
			repetitions: 8,
			holdSeconds: 0,
			pauseSeconds: 0,
			restSeconds: 60,
			target: { low: 30, high: 100 },
		},
		instructions: [
			"Sit near the front of a firm chair. The chair must not slide.",
			"Put your feet flat on the floor.",
			"Lean forward and stand up.",
			"Sit down slowly.",
		],
		cautions: [...standing, "Use your arms to help if you need to."],
		doseSource: `3 × 8–10 from a chair of 43–45 cm, 60 s rest: ${practice}, no source.`,
	}),
	libraryExercise({
		id: "mini-squat",
		name: "Small squat",
		kind: "repetition",
		lead: muscleRegions.vastusMedialis,
		dose: {
			sets: 3,
			repetitions: 10,
			holdSeconds: 0,
			pauseSeconds: 0,
			restSeconds: 60,
			target: { low: 25, high: 90 },
		},
		instructions: [
			"Stand with your feet as wide as your hips. Hold on to a table.",
			"Bend both knees a little, as if to sit down.",
			"Keep your knees above your toes.",
			"Stand up straight again.",
		],
		cautions: [...standing, "Only bend as far as it does not hurt."],
		doseSource: `3 × 10 from 0 to 30°, later to 45° and 60°: ${programme}.`,
	}),
	libraryExercise({
		id: "step-up",
		name: "Step up",
		kind: "repetition",
		lead: muscleRegions.vastusMedialis,
		dose: {
			sets: 3,
			repetitions: 10,
			holdSeconds: 0,
			pauseSeconds: 0,
			restSeconds: 60,
			target: { low: 40, high: 110 },
		},
		instructions: [
			"Stand in front of a low step. Hold on to a rail.",
			"Put your whole foot on the step.",
			"Push through that foot and step up.",
			"Step down slowly with your other foot first.",
		],
		cautions: [...standing, "Start with a step of 10 cm, about as high as your hand is wide."],
		doseSource: `3 × 10 from a 10 cm step: ${programme}.`,
	}),
];

/** @returns undefined for an id that the library does not have */
export function libraryExerciseOf(id: string): Exercise | undefined {
	return library.find((exercise) => exercise.id === id);
}
