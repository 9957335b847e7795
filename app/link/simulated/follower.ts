import { type ExerciseName, exercises, muscleIds } from "./exercises.ts";
import { Random } from "./random.ts";

/** How fast an effort comes and goes, s. */
const effortSeconds = 0.15;
/** Physiological tremor lies between 8 and 12 Hz (common knowledge, no source at hand). */
const tremorHertz = 9;
const tremorShare = 0.015;
/** No two efforts are alike. */
const unlike = { least: 0.95, most: 1.05 } as const;

/** What the person may be asked to do, in the order of the shares: the front of the thigh, and the back. */
const askedExercises = ["quad set", "heel dig"] as const satisfies readonly ExerciseName[];

/** What a simulated person is asked for: shares of full effort, 0 to 1, of the front and of the back of the thigh, in
 *  memory that two threads share. */
export interface AskedEffort {
	/** [2] */
	readonly share: Float64Array;
	/** [1] above 0 while the person is asked to sit still, whatever they else do; never when left out. */
	readonly stillness?: Float64Array;
}

export function createAskedEffort(): AskedEffort {
	const shared = (length: number): Float64Array =>
		new Float64Array(new SharedArrayBuffer(length * Float64Array.BYTES_PER_ELEMENT));
	return { share: shared(askedExercises.length), stillness: shared(1) };
}

/** An invented person who tenses the front or the back of the thigh when asked and as much as asked, and lets go when
 *  asked. */
export class Follower {
	readonly #asked: AskedEffort;
	readonly #random: Random;
	#seconds = 0;
	readonly #efforts = askedExercises.map(() => 0);
	#strength = 1;
	/** Number of what is done just now; −1 for nothing. */
	#doing = -1;
	#repetition = 0;

	constructor(asked: AskedEffort, seed: number) {
		this.#asked = asked;
		this.#random = new Random(seed, "efforts that were asked for");
	}

	/** @param seconds never backwards @param activation [nMuscles] share of full engagement, overwritten */
	activationsInto(seconds: number, activation: Float64Array): void {
		const { share } = this.#asked;
		const doing = askedExercises.findIndex((_, i) => share[i]! > 0);
		if (doing >= 0 && doing !== this.#doing) {
			this.#repetition++;
			this.#strength = this.#random.between(unlike.least, unlike.most);
		}
		this.#doing = doing;
		const step = Math.max(0, seconds - this.#seconds);
		this.#seconds = seconds;
		activation.fill(0);
		for (const [i, name] of askedExercises.entries()) {
			const effort =
				this.#efforts[i]! +
				(share[i]! * this.#strength - this.#efforts[i]!) * -Math.expm1(-step / effortSeconds);
			this.#efforts[i] = effort;
			const { engagement } = exercises[name];
			for (let m = 0; m < activation.length; m++) {
				const tremor = tremorShare * Math.sin(2 * Math.PI * tremorHertz * seconds + m);
				activation[m]! += engagement[muscleIds[m]!] * effort * (1 + tremor);
			}
		}
	}

	doing(): { readonly exercise: ExerciseName; readonly repetition: number } | null {
		const exercise = askedExercises[this.#doing];
		return exercise === undefined ? null : { exercise, repetition: this.#repetition };
	}
}
