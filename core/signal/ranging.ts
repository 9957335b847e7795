/**
 * Sets a band's drive current and receiving gain so that readings are large against the converter's noise and none is
 * clipped. The search knows no clock and no board: it says one step at a time and is told how each went, so it runs
 * the same way against a real board, a simulated one and a table in a test.
 *
 * Current first, in steps up to what is allowed, because noise of the receiving side does not grow with it; then the
 * gain that puts the largest reading at three quarters of full scale. 60 to 90 % of full scale is what is aimed at:
 * above, a muscle's own change would clip; 50 to 80 % is common practice (no source).
 */

export interface RangingFacts {
	/** What the band can be set to (its `B` record). */
	readonly minimumMilliamp: number;
	readonly maximumMilliamp: number;
	readonly minimumGain: number;
	readonly maximumGain: number;
	/** The limit in force at the band's frequency (`core/safety`): never exceeded, whatever the band could do. */
	readonly limitMilliamp: number;
	/** As the band is set now. */
	readonly currentMilliamp: number;
	readonly gain: number;
	/** Whether the board has told its full scale: without it nothing can be aimed at. */
	readonly knowsFullScale: boolean;
}

export type RangingStep =
	| { readonly do: "set-current"; readonly milliamp: number }
	| { readonly do: "set-gain"; readonly gain: number }
	/** Wait for a few frames with the setting in force and judge them. */
	| { readonly do: "look" }
	| { readonly do: "done"; readonly outcome: RangingOutcome };

/** How a step went. `elapsedMs`: since the search began. */
export type RangingReply = { readonly elapsedMs: number } & (
	| { readonly kind: "set"; readonly inForce: number }
	| { readonly kind: "refused" }
	| { readonly kind: "silent" }
	/** `largestShare`: the largest magnitude of a reading over full scale; 1 and more is clipped. */
	| { readonly kind: "saw"; readonly largestShare: number; readonly clippedShare: number }
	| { readonly kind: "no-frames" }
);

export const rangingReasons = [
	/** The current is the most that is allowed. */
	"current-at-limit",
	/** The current is the most that the band can drive. */
	"current-at-most",
	/** More current would clip even at the least gain. */
	"current-lowered",
	"current-refused",
	/** A larger gain than the band has would be wanted. */
	"gain-at-most",
	/** A smaller gain than the band has would be wanted. */
	"gain-at-least",
	"gain-refused",
	"still-clipped",
	"full-scale-unknown",
	"no-frames",
	"board-silent",
	"out-of-time",
	/** The board lets nobody set it: its level was only looked at. */
	"takes-no-commands",
] as const;
export type RangingReason = (typeof rangingReasons)[number];

export interface RangingOutcome {
	/** In force at the end. */
	readonly currentMilliamp: number;
	readonly gain: number;
	/** Of the last look; null without one. */
	readonly largestShare: number | null;
	readonly verdict: "good" | "fair" | "failed";
	readonly reasons: readonly RangingReason[];
}

export const aimedShare = { least: 0.6, most: 0.9, middle: 0.75 } as const;
/** Begun no more steps after this, so that a board that answers in half a second still ends within three. */
const lastStepMs = 1900;
const currentSteps = [0.25, 0.5, 1] as const;
const mostGainSteps = 6;
/** What a clipped reading hides is not known: a step down that is sure to show it. */
const stepDown = 4;

/** @throws RangeError when the facts contradict themselves */
export class RangingSearch {
	readonly #search: Generator<RangingStep, RangingOutcome, RangingReply>;
	step: RangingStep;

	constructor(facts: RangingFacts) {
		const { minimumMilliamp, maximumMilliamp, minimumGain, maximumGain, limitMilliamp } = facts;
		if (
			!(
				minimumMilliamp <= maximumMilliamp &&
				minimumGain <= maximumGain &&
				minimumGain > 0 &&
				limitMilliamp > 0
			)
		) {
			throw new RangeError("ranging: a least value above the most, or no limit");
		}
		this.#search = search(facts);
		this.step = this.#stepOf(this.#search.next());
	}

	/** Tells how the step went. @returns the next one; the last says `done` and stays. */
	reply(reply: RangingReply): RangingStep {
		if (this.step.do !== "done") this.step = this.#stepOf(this.#search.next(reply));
		return this.step;
	}

	#stepOf(result: IteratorResult<RangingStep, RangingOutcome>): RangingStep {
		return result.done === true ? { do: "done", outcome: result.value } : result.value;
	}
}

interface Setting {
	currentMilliamp: number;
	gain: number;
}

function* search(facts: RangingFacts): Generator<RangingStep, RangingOutcome, RangingReply> {
	const reasons = new Set<RangingReason>();
	const now: Setting = { currentMilliamp: facts.currentMilliamp, gain: facts.gain };
	let share: number | null = null;
	let isOver = false;

	const end = (verdict: RangingOutcome["verdict"]): RangingOutcome => ({
		...now,
		largestShare: share,
		verdict,
		reasons: [...reasons],
	});

	/** @returns whether the setting is in force */
	function* set(what: keyof Setting, value: number): Generator<RangingStep, boolean, RangingReply> {
		const step: RangingStep =
			what === "gain" ? { do: "set-gain", gain: value } : { do: "set-current", milliamp: value };
		// An answer may be lost on the way: a command said twice does no harm.
		for (let attempt = 0; attempt < 2; attempt++) {
			const reply = yield step;
			if (reply.elapsedMs > lastStepMs) isOver = true;
			if (reply.kind === "set") {
				now[what] = reply.inForce;
				return true;
			}
			if (reply.kind === "refused") {
				reasons.add(what === "gain" ? "gain-refused" : "current-refused");
				return false;
			}
			if (isOver) break;
		}
		reasons.add("board-silent");
		return false;
	}

	/** @returns whether frames came */
	function* look(): Generator<RangingStep, boolean, RangingReply> {
		const reply = yield { do: "look" };
		if (reply.elapsedMs > lastStepMs) isOver = true;
		if (reply.kind !== "saw") {
			reasons.add("no-frames");
			return false;
		}
		share = reply.clippedShare > 0 ? Math.max(1, reply.largestShare) : reply.largestShare;
		return true;
	}

	if (!facts.knowsFullScale) {
		reasons.add("full-scale-unknown");
		return end("fair");
	}
	const ceiling = Math.min(facts.limitMilliamp, facts.maximumMilliamp);
	const floor = Math.min(facts.minimumMilliamp, ceiling);

	// A current above the limit goes down first, before anything is looked at.
	for (const part of currentSteps) {
		if (isOver) break;
		const wanted = microampBelow(Math.max(floor, part * ceiling));
		if (wanted > ceiling || (wanted === now.currentMilliamp && share !== null)) continue;
		const before = now.currentMilliamp;
		if (!(yield* set("currentMilliamp", wanted))) {
			if (reasons.has("board-silent")) return end("failed");
			break;
		}
		if (!(yield* look())) return end("failed");
		while (isClipped(share) && now.gain > facts.minimumGain && !isOver) {
			if (!(yield* set("gain", Math.max(facts.minimumGain, now.gain / stepDown)))) break;
			if (!(yield* look())) return end("failed");
		}
		if (!isClipped(share) || isOver) continue;
		if (part === currentSteps[0]) break;
		reasons.add("current-lowered");
		yield* set("currentMilliamp", before);
		if (!(yield* look())) return end("failed");
		break;
	}
	if (now.currentMilliamp >= microampBelow(ceiling)) {
		reasons.add(facts.limitMilliamp <= facts.maximumMilliamp ? "current-at-limit" : "current-at-most");
	}

	for (let attempt = 0; attempt < mostGainSteps && !isOver; attempt++) {
		if (share === null && !(yield* look())) return end("failed");
		if (share! >= aimedShare.least && share! <= aimedShare.most) return end("good");
		const factor = isClipped(share) ? 1 / stepDown : aimedShare.middle / Math.max(share!, 1e-6);
		const wanted = Math.min(facts.maximumGain, Math.max(facts.minimumGain, twoDigits(now.gain * factor)));
		if (wanted === now.gain) {
			reasons.add(factor > 1 ? "gain-at-most" : "gain-at-least");
			break;
		}
		const before = { gain: now.gain, share };
		if (!(yield* set("gain", wanted))) break;
		// A board that has only a few gains sets the nearest: the same again is its last word.
		if (now.gain === before.gain) break;
		if (!(yield* look())) return end("failed");
	}
	if (isOver && !(share !== null && share >= aimedShare.least && share <= aimedShare.most))
		reasons.add("out-of-time");
	if (isClipped(share)) {
		reasons.add("still-clipped");
		return end("failed");
	}
	return end(share !== null && share >= aimedShare.least && share <= aimedShare.most ? "good" : "fair");
}

function isClipped(share: number | null): boolean {
	return share !== null && share >= 1;
}

/** Whole µA, never more than asked. */
function microampBelow(milliamp: number): number {
	return Math.floor(milliamp * 1000 + 1e-6) / 1000;
}

function twoDigits(gain: number): number {
	return Number(gain.toPrecision(2));
}
