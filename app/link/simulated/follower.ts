import { type ExerciseName, exercises, muscleIds } from "./exercises.ts";
import { Random } from "./random.ts";

/** How fast an effort comes and goes, s. */
const effortSeconds = 0.15;
/** Physiological tremor lies between 8 and 12 Hz (common knowledge, no source at hand). */
const tremorHertz = 9;
const tremorShare = 0.015;
/** No two efforts are alike. */
const unlike = { least: 0.95, most: 1.05 } as const;

/** What a simulated person is asked for: share of full effort, 0 to 1, in memory that two threads share. */
export interface AskedEffort {
	readonly share: Float64Array;
}

export function createAskedEffort(): AskedEffort {
	return { share: new Float64Array(new SharedArrayBuffer(Float64Array.BYTES_PER_ELEMENT)) };
}

/** An invented person who tenses the front of the thigh when asked and as much as asked, and lets go when asked. */
export class Follower {
	readonly #asked: AskedEffort;
	readonly #random: Random;
	#seconds = 0;
	#effort = 0;
	#strength = 1;
	#wasAsked: boolean = false;
	#repetition = 0;

	constructor(asked: AskedEffort, seed: number) {
		this.#asked = asked;
		this.#random = new Random(seed, "efforts that were asked for");
	}

	/** @param seconds never backwards @param activation [nMuscles] share of full engagement, overwritten */
	activationsInto(seconds: number, activation: Float64Array): void {
		const asked = this.#asked.share[0]!;
		if (asked > 0 && !this.#wasAsked) {
			this.#repetition++;
			this.#strength = this.#random.between(unlike.least, unlike.most);
		}
		this.#wasAsked = asked > 0;
		const step = Math.max(0, seconds - this.#seconds);
		this.#seconds = seconds;
		this.#effort += (asked * this.#strength - this.#effort) * -Math.expm1(-step / effortSeconds);
		const { engagement } = exercises["quad set"];
		for (let m = 0; m < activation.length; m++) {
			const tremor = tremorShare * Math.sin(2 * Math.PI * tremorHertz * seconds + m);
			activation[m] = engagement[muscleIds[m]!] * this.#effort * (1 + tremor);
		}
	}

	doing(): { readonly exercise: ExerciseName; readonly repetition: number } | null {
		return this.#wasAsked ? { exercise: "quad set", repetition: this.#repetition } : null;
	}
}
