/** Muscles in the order of the thigh's regions (`core/limb/thigh-atlas.ts`). */
export const muscleIds = [
	"rectus-femoris",
	"vastus-lateralis",
	"vastus-medialis",
	"vastus-intermedius",
	"hamstrings",
	"adductors",
] as const;
export type MuscleId = (typeof muscleIds)[number];

export type ExerciseName =
	| "quad set"
	| "straight leg raise"
	| "heel dig"
	| "terminal knee extension"
	| "long hold";

/** How an exercise engages the muscles: share of full engagement, and seconds after the first muscle. */
export interface Exercise {
	readonly name: ExerciseName;
	readonly engagement: Readonly<Record<MuscleId, number>>;
	readonly delay: Readonly<Record<MuscleId, number>>;
}

/** Which muscles lead in which exercise follows the anatomy; the shares and delays are invented. */
export const exercises: Readonly<Record<ExerciseName, Exercise>> = {
	"quad set": {
		name: "quad set",
		engagement: pattern(0.75, 0.9, 1, 0.8, 0.12, 0.1),
		delay: pattern(0.35, 0.1, 0, 0.2, 0.4, 0.5),
	},
	"straight leg raise": {
		name: "straight leg raise",
		engagement: pattern(1, 0.55, 0.45, 0.6, 0.05, 0.35),
		delay: pattern(0, 0.25, 0.45, 0.2, 0.6, 0.3),
	},
	"heel dig": {
		name: "heel dig",
		engagement: pattern(0.05, 0.08, 0.06, 0.05, 0.95, 0.3),
		delay: pattern(0.3, 0.2, 0.2, 0.3, 0, 0.2),
	},
	"terminal knee extension": {
		name: "terminal knee extension",
		engagement: pattern(0.4, 0.8, 0.95, 0.7, 0.1, 0.15),
		delay: pattern(0.5, 0.15, 0, 0.25, 0.5, 0.4),
	},
	"long hold": {
		name: "long hold",
		engagement: pattern(0.7, 0.85, 0.9, 0.8, 0.12, 0.12),
		delay: pattern(0.3, 0.1, 0, 0.2, 0.4, 0.5),
	},
};

function pattern(
	rectus: number,
	lateralis: number,
	medialis: number,
	intermedius: number,
	hamstrings: number,
	adductors: number,
): Record<MuscleId, number> {
	return {
		"rectus-femoris": rectus,
		"vastus-lateralis": lateralis,
		"vastus-medialis": medialis,
		"vastus-intermedius": intermedius,
		hamstrings,
		adductors,
	};
}
