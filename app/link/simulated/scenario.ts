import type { ScenarioName } from "../../contract.ts";
import { type Exercise, type ExerciseName, exercises, muscleIds } from "./exercises.ts";
import { type AskedEffort, Follower } from "./follower.ts";
import { Random } from "./random.ts";

/** One repetition: a smooth rise, a hold, a smooth fall. Times in s from the start of its round. */
interface Effort {
	readonly exercise: Exercise;
	readonly repetition: number;
	readonly start: number;
	readonly hold: number;
	/** [nMuscles] share of full engagement in this repetition. */
	readonly level: Float64Array;
	/** [nMuscles] s */
	readonly delay: Float64Array;
	/** Share of its engagement that each muscle loses, negative: gains, by the end of the hold. */
	readonly fade: Float64Array;
	/** Share of its engagement that each muscle trembles by at the end of the hold. */
	readonly tremor: number;
}

interface Step {
	readonly exercise: ExerciseName;
	readonly repetitions: number;
	readonly hold: number;
	readonly rest: number;
	readonly tires?: boolean;
}

/** Rest before the first effort of each round: the app takes its first rest baseline there. */
const restFirst = 4;
const riseSeconds = 0.5;
const fallSeconds = 0.7;
/** Physiological tremor lies between 8 and 12 Hz (common knowledge, no source at hand). */
const tremorHertz = 9;

/** Doses are usual ones, shortened so that a round fits into a demonstration: quad sets of 6 s holds with at most 10 s
 *  rest, leg raises held 5 s, from patients' exercise sheets of a Kaiser Permanente knee programme and of a surgeon. */
const rounds: Readonly<Record<ScenarioName, readonly Step[]>> = {
	tour: [
		{ exercise: "quad set", repetitions: 3, hold: 4, rest: 3 },
		{ exercise: "straight leg raise", repetitions: 3, hold: 3, rest: 3 },
		{ exercise: "heel dig", repetitions: 2, hold: 3, rest: 3 },
		{ exercise: "terminal knee extension", repetitions: 3, hold: 2, rest: 2.5 },
		{ exercise: "long hold", repetitions: 1, hold: 12, rest: 8, tires: true },
	],
	rest: [],
	"quad-sets": [{ exercise: "quad set", repetitions: 8, hold: 6, rest: 4 }],
	"leg-raises": [{ exercise: "straight leg raise", repetitions: 8, hold: 5, rest: 4 }],
	fatigue: [{ exercise: "long hold", repetitions: 5, hold: 20, rest: 8, tires: true }],
	slippage: [{ exercise: "quad set", repetitions: 8, hold: 5, rest: 4 }],
	"poor-contact": [{ exercise: "quad set", repetitions: 8, hold: 5, rest: 4 }],
	"follow-coach": [],
};

/** When the band slips along the skin, and by how much more, m. 10 mm is a third of the pitch of 16 electrodes. */
const slips = [
	{ at: 18, by: 0.004 },
	{ at: 42, by: 0.006 },
] as const;
const slipSeconds = 0.4;
export const largestSlipMetre = 0.01;

/** A contact that dries out, lifts off now and then, and is pressed on again: [s, times its contact impedance]. */
const poorContact: readonly (readonly [number, number])[] = [
	[0, 1],
	[10, 1],
	[16, 12],
	[22, 20],
	[22.2, 300],
	[25, 300],
	[25.2, 20],
	[34, 25],
	[34.2, 300],
	[36, 300],
	[36.2, 15],
	[44, 15],
	[45, 1.5],
	[60, 1.5],
];

/** What an invented person does and what happens to the band, as functions of the time since the board was started. */
export class Scenario {
	readonly name: ScenarioName;
	readonly #seed: number;
	#round = -1;
	#efforts: readonly Effort[] = [];
	readonly #roundSeconds: number;
	readonly #follower: Follower | null;
	readonly #stillness: Float64Array | null;

	/** @param asked what `follow-coach` follows, and whether to sit still; nothing is ever asked for when left out */
	constructor(name: ScenarioName, seed: number, asked: AskedEffort | null = null) {
		this.name = name;
		this.#seed = seed;
		this.#stillness = asked?.stillness ?? null;
		this.#follower = name === "follow-coach" && asked !== null ? new Follower(asked, seed) : null;
		this.#roundSeconds = rounds[name].reduce(
			(sum, step) => sum + step.repetitions * (step.hold + step.rest),
			restFirst,
		);
	}

	/** @param activation [nMuscles] share of full engagement, 0 to about 1.1, overwritten */
	activationsInto(seconds: number, activation: Float64Array): void {
		if (this.#follower !== null) {
			this.#follower.activationsInto(seconds, activation);
			return;
		}
		activation.fill(0);
		if (this.#isAskedToSitStill) return;
		const inRound = this.#enterRound(seconds);
		for (const effort of this.#efforts) {
			if (inRound < effort.start) continue;
			for (let m = 0; m < activation.length; m++) activation[m]! += effortOf(effort, m, inRound);
		}
	}

	/** What the person is doing, and the count of the repetition; null at rest. */
	doing(seconds: number): { readonly exercise: ExerciseName; readonly repetition: number } | null {
		if (this.#follower !== null) return this.#follower.doing();
		if (this.#isAskedToSitStill) return null;
		const inRound = this.#enterRound(seconds);
		for (const effort of this.#efforts) {
			if (inRound < effort.start || inRound > effort.start + effort.hold) continue;
			return { exercise: effort.exercise.name, repetition: effort.repetition };
		}
		return null;
	}

	/** How far the band has slipped along the skin, m. */
	slipMetre(seconds: number): number {
		if (this.name !== "slippage") return 0;
		let slip = 0;
		for (const { at, by } of slips) slip += by * smoothStep((seconds - at) / slipSeconds);
		return slip;
	}

	/** By how much the poor electrode's contact impedance is multiplied. */
	contactFactor(seconds: number): number {
		if (this.name !== "poor-contact") return 1;
		const end = poorContact.at(-1)![0];
		const time = seconds % end;
		const next = poorContact.findIndex(([at]) => at > time);
		const [at0, factor0] = poorContact[next - 1]!;
		const [at1, factor1] = poorContact[next]!;
		return factor0 * (factor1 / factor0) ** ((time - at0) / (at1 - at0));
	}

	get #isAskedToSitStill(): boolean {
		return this.#stillness !== null && this.#stillness[0]! > 0;
	}

	#enterRound(seconds: number): number {
		const round = Math.max(0, Math.floor(seconds / this.#roundSeconds));
		if (round !== this.#round) {
			this.#round = round;
			this.#efforts = createRound(rounds[this.name], new Random(this.#seed, `round ${round}`));
		}
		return seconds - round * this.#roundSeconds;
	}
}

function createRound(steps: readonly Step[], random: Random): Effort[] {
	const efforts: Effort[] = [];
	let start = restFirst;
	for (const step of steps) {
		const exercise = exercises[step.exercise];
		for (let repetition = 1; repetition <= step.repetitions; repetition++) {
			const strength = random.between(0.88, 1);
			efforts.push({
				exercise,
				repetition,
				start,
				hold: step.hold,
				level: Float64Array.from(
					muscleIds,
					(id) => exercise.engagement[id] * strength * random.between(0.92, 1.05),
				),
				delay: Float64Array.from(muscleIds, (id) => exercise.delay[id] + random.between(0, 0.12)),
				// The vasti tire first, and rectus femoris helps out.
				fade: Float64Array.from(muscleIds, (id) =>
					step.tires ? (id === "rectus-femoris" ? -0.25 : 0.3) : 0.04,
				),
				tremor: step.tires ? 0.06 : 0.015,
			});
			start += step.hold + step.rest;
		}
	}
	return efforts;
}

function effortOf(effort: Effort, muscle: number, seconds: number): number {
	const since = seconds - effort.start - effort.delay[muscle]!;
	const until = seconds - effort.start - effort.hold - 0.3 * effort.delay[muscle]!;
	const envelope = smoothStep(since / riseSeconds) * (1 - smoothStep(until / fallSeconds));
	if (envelope === 0) return 0;
	const progress = Math.min(1, Math.max(0, since / effort.hold));
	const tremor = effort.tremor * progress * Math.sin(2 * Math.PI * tremorHertz * seconds + muscle);
	return effort.level[muscle]! * envelope * (1 - effort.fade[muscle]! * progress) * (1 + tremor);
}

function smoothStep(x: number): number {
	const share = Math.min(1, Math.max(0, x));
	return share * share * (3 - 2 * share);
}
