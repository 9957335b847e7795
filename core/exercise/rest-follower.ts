import { type RestLevel, restOfInPlace } from "./rest-level.ts";

/** Time constants of following the level at rest: at once after a repetition, then slowly. s */
const SETTLING = 0.3;
const SETTLING_FOR = 1;
const FOLLOWING = 3;
const NOISE_SAMPLES = 256;
const NOISE_SECONDS = 2;
/** Fewer samples say too little about their spread: this many know it to a fifth. */
const FEWEST_FOR_NOISE = 40;
/** The noise follows the session, but not away from what was measured: within these multiples of it. */
const NOISE_BOUNDS = [0.7, 3] as const;

/** Follows where a signal rests and how much it moves there, from the samples between repetitions. What happens within
 *  one never changes it. Allocates when made, and two small objects when it measures the noise anew. */
export class RestFollower {
	level: number;
	noise: number;
	readonly #startNoise: number;
	readonly #quiet = new Float64Array(NOISE_SAMPLES);
	#quietCount = 0;
	#quietSince = Number.NaN;
	#restSince = Number.NEGATIVE_INFINITY;

	/** @param learnedNoise from an earlier set; 0 for none */
	constructor(rest: RestLevel, learnedNoise: number) {
		this.level = rest.level;
		// a board that sends the same number again and again still has a last digit
		this.#startNoise = Math.max(rest.noise, Math.abs(rest.level) * 1e-9, Number.MIN_VALUE);
		this.noise = this.#bounded(Math.max(learnedNoise, this.#startNoise));
	}

	/** Rest began again at `time`. */
	restart(time: number): void {
		this.#restSince = time;
		this.#quietCount = 0;
	}

	/** @param dt since the sample before, s */
	follow(time: number, value: number, dt: number): void {
		const settled = time - this.#restSince > SETTLING_FOR;
		const share = 1 - Math.exp(-dt / (settled ? FOLLOWING : SETTLING));
		this.level += share * (value - this.level);
		if (!settled) return;
		if (this.#quietCount === 0) this.#quietSince = time;
		if (this.#quietCount < NOISE_SAMPLES) this.#quiet[this.#quietCount++] = value;
		if (time - this.#quietSince < NOISE_SECONDS || this.#quietCount < FEWEST_FOR_NOISE) return;
		const seen = restOfInPlace(this.#quiet.subarray(0, this.#quietCount)).noise;
		this.noise = this.#bounded(0.7 * this.noise + 0.3 * seen);
		this.#quietCount = 0;
	}

	#bounded(noise: number): number {
		const [low, high] = NOISE_BOUNDS;
		return Math.min(high * this.#startNoise, Math.max(low * this.#startNoise, noise));
	}
}
