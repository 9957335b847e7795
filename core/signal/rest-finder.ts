import { RestFollower } from "../exercise/rest-follower.ts";

/**
 * Tells rest from work by the means of all followed regions, so that a slow drift is followed as rest and a hold, however
 * long and still, is not.
 *
 * Work begins when any region leaves its level at rest by more than `LEAVES` deviations, which drift never does: the level
 * follows it within seconds. While work lasts levels are frozen. It ends when all regions have come back: within `BACK`
 * deviations of their levels, or, since levels may have drifted meanwhile, within a quarter of the farthest that any went,
 * and are still for a second and a half. A hold stays far above a quarter of its own peak. The numbers are common practice
 * without a published source, tried on simulated holds of up to 30 s under drift.
 */
export interface RestFinder {
	readonly isResting: boolean;
	/** Since when it has been at rest, s; of no meaning at work. */
	readonly restingSince: number;
	/** @param means [nRegions] in the unit of `noise`  @returns `isResting` */
	take(seconds: number, means: ArrayLike<number>): boolean;
	/** Means are counted from another baseline from now on: rest is at zero again. */
	rebase(): void;
}

const LEAVES = 6;
const BACK = 3;
const BACK_SHARE = 0.25;
const STILL_FOR = 1.5;
/** While it comes back, means are followed with this time constant, s; the level is still when this moves no more. */
const SMOOTHED = 0.25;
/** Frames farther apart than this are not one stretch of time, s. */
const LONGEST_STEP = 0.5;

/** @param noise [nRegions] standard deviation of each mean at rest, above zero */
export function createRestFinder(noise: ArrayLike<number>): RestFinder {
	const count = noise.length;
	const createFollowers = () =>
		Array.from({ length: count }, (_, i) => new RestFollower({ level: 0, noise: noise[i]! }, noise[i]!));
	let followers = createFollowers();
	/** That any region went from its level since work began, in deviations. */
	let farthest = 0;
	const smooth = new Float64Array(count);
	const anchor = new Float64Array(count);
	let isResting = true;
	let restingSince = Number.NaN;
	let last = Number.NaN;
	let stillSince = Number.NaN;

	function followRest(seconds: number, means: ArrayLike<number>, dt: number): void {
		for (let i = 0; i < count; i++) {
			const follower = followers[i]!;
			if (Math.abs(means[i]! - follower.level) > LEAVES * follower.noise) {
				isResting = false;
				stillSince = Number.NaN;
				farthest = 0;
				for (let k = 0; k < count; k++) smooth[k] = means[k]!;
				return;
			}
		}
		for (let i = 0; i < count; i++) followers[i]!.follow(seconds, means[i]!, dt);
	}

	function followWork(seconds: number, means: ArrayLike<number>, dt: number): void {
		const share = -Math.expm1(-dt / SMOOTHED);
		let away = 0;
		let isStill = !Number.isNaN(stillSince);
		for (let i = 0; i < count; i++) {
			smooth[i]! += share * (means[i]! - smooth[i]!);
			const { level, noise: own } = followers[i]!;
			away = Math.max(away, Math.abs(smooth[i]! - level) / own);
			if (Math.abs(smooth[i]! - anchor[i]!) > 2 * own) isStill = false;
		}
		farthest = Math.max(farthest, away);
		const isBack = away <= Math.max(BACK, BACK_SHARE * farthest);
		if (!isBack || !isStill) {
			stillSince = isBack ? seconds : Number.NaN;
			anchor.set(smooth);
			return;
		}
		if (seconds - stillSince < STILL_FOR) return;
		isResting = true;
		restingSince = stillSince;
		for (let i = 0; i < count; i++) {
			followers[i]!.level = smooth[i]!;
			followers[i]!.restart(seconds);
		}
	}

	return {
		get isResting() {
			return isResting;
		},
		get restingSince() {
			return restingSince;
		},
		take(seconds, means) {
			if (means.length !== count)
				throw new RangeError(`rest: ${means.length} means where ${count} were expected`);
			if (Number.isNaN(restingSince)) restingSince = seconds;
			const dt = Number.isNaN(last) ? 0 : Math.min(LONGEST_STEP, Math.max(0, seconds - last));
			last = seconds;
			if (isResting) followRest(seconds, means, dt);
			else followWork(seconds, means, dt);
			return isResting;
		},
		rebase() {
			if (isResting) {
				followers = createFollowers();
				return;
			}
			// at work the way back is to another zero by as much as each level is off now
			for (let i = 0; i < count; i++) {
				smooth[i]! -= followers[i]!.level;
				anchor[i]! -= followers[i]!.level;
				followers[i]!.level = 0;
			}
		},
	};
}
