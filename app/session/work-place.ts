/** Where a person works with the band on: one reference contraction or exercise at a time, with a recording around it. */
import { versionOn } from "../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { type NextStep, nextStepAfter, nextStepBefore } from "../../core/exercise/stop-rules.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { AppState, Fault, RequestArgument } from "../contract.ts";
import type { AskedEffort } from "../link/simulated/follower.ts";
import { SET_BEGUN } from "../store/broken-sets.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import { createExerciseDesk } from "./exercise-desk.ts";
import { createHeldMeans } from "./held-means.ts";
import { bandOff } from "./left-out-state.ts";
import type { Live, LiveFollower } from "./live.ts";
import type { Measuring } from "./live-pictures.ts";
import { conditionsOf, referencesFor } from "./measuring-conditions.ts";
import type { ReadyModel } from "./model-slot.ts";
import { morningAdviceOn } from "./next-morning.ts";
import { createReferenceDesk } from "./reference-desk.ts";
import type { SetUp } from "./set-up.ts";
import { createObedience } from "./simulated-obedience.ts";
import { dayOf, isEndedOn, isOver, soFarOn, unansweredOn } from "./today.ts";

/** Who is measured, with what. */
export interface Work {
	readonly personId: number;
	readonly measuring: Measuring;
	/** Without a reference. */
	readonly conditions: MeasuringConditions;
	/** Where what comes of it is kept. */
	readonly records: Store;
}

export interface WorkPlace extends LiveFollower {
	state(): Pick<AppState, "reference" | "exercise" | "checkIn">;
	/** What goes on just now that others must not spoil. */
	readonly busyWith: "reference" | "exercise" | null;
	startReference(wanted: RequestArgument<"startReference">): Promise<Result<null, Fault>>;
	stopReference(): Result<null, Fault>;
	/** Holds until the sitting is left, also where the records refuse it. */
	tellPain(told: RequestArgument<"tellPain">): Result<null, Fault>;
	startExercise(wanted: RequestArgument<"startExercise">): Promise<Result<null, Fault>>;
	controlExercise(wanted: RequestArgument<"controlExercise">): Result<null, Fault>;
	answerSet(answer: RequestArgument<"answerSet">): Result<NextStep, Fault>;
	/** Of a set that was left without answers, by now or before a restart. */
	answerLeftSet(answer: RequestArgument<"answerLeftSet">): Result<NextStep, Fault>;
	/** Stores what the records have refused before, sets and answers. */
	keep(): Result<null, Fault>;
	/** Ends whatever goes on as it is and closes the recording that was begun for it. Sets that the records refuse are kept
	 *  until the next try: leaving again, which then lets go of them whatever comes. */
	leave(): Promise<Result<null, Fault>>;
	/** The same, but the sitting goes on with the band on the other leg: what was told about pain still holds. */
	pauseForBand(): Promise<Result<null, Fault>>;
}

export interface WorkPlaceParts {
	readonly clock: Clock;
	readonly live: Live;
	readonly setUp: SetUp;
	/** Null when the records could not be opened. */
	readonly store: Store | null;
	readonly storeFault: () => Fault | null;
	/** The person is alone: what the answers of a day have ended stays ended that day. */
	readonly isAtHome: () => boolean;
	readonly onChange: () => void;
	/** Where a simulated person reads what they are asked for. */
	readonly asked: AskedEffort;
}

/** A sitting in which nothing happens for so long is closed (our own choice). */
const IDLE_MS = 15 * 60_000;

export function createWorkPlace(parts: WorkPlaceParts): WorkPlace {
	const { clock, live, setUp } = parts;
	const references = createReferenceDesk({ ...parts, onEnd: () => void closeUnlessSitting() });
	const exercises = createExerciseDesk({
		...parts,
		onActivity,
		onSetBegun: (set) => live.note(SET_BEGUN, set),
	});
	const obedience = createObedience();
	const held = createHeldMeans((result, means) => {
		if (followed === null || busyWith() === null) return;
		followed.hasBegun = true;
		references.onMeans(result, means);
		exercises.onMeans(result, means);
	});
	/** The session whose recording was begun here. */
	let ownSession: number | null = null;
	/** Whether exercises are being done, one after the other. */
	let isSitting = false;
	let stopIdling: (() => void) | null = null;
	/** What is about to begin. It waits for a picture, and meanwhile another page may ask for the same, or leave. */
	let starting: "reference" | "exercise" | null = null;
	let leavings = 0;
	let checkIn: AppState["checkIn"] = null;
	/** Which region means are taken, since the newest start. */
	let followed: Followed | null = null;

	function busyWith(): "reference" | "exercise" | null {
		if (references.isRunning) return "reference";
		return exercises.isRunning ? "exercise" : starting;
	}

	function refuseBusy(): Result<never, Fault> | null {
		const busy = busyWith();
		return busy === null ? null : failure({ kind: "busy", with: busy });
	}

	function noStore(): Fault {
		return parts.storeFault() ?? { kind: "internal", detail: "no store" };
	}

	function onActivity(): void {
		stopIdling?.();
		stopIdling = clock.after(IDLE_MS, () => void leave());
	}

	function refuseElsewhere(personId: number, side: "left" | "right" | null): Result<never, Fault> | null {
		const { limb } = setUp.limbAndBand;
		if (setUp.person?.id === personId && (side === null || limb.side === side)) return null;
		return failure({ kind: "band-elsewhere", personId, side: side ?? limb.side });
	}

	function follow({ measuring: { band, model } }: Work): void {
		held.clear();
		followed = { bandIndex: band.bandIndex, model, hasBegun: false };
	}

	/** What the region means are of, if all is as it must be. */
	async function prepare(
		what: "reference" | "exercise",
		records: Store,
		personId: number,
		side: "left" | "right" | null,
	): Promise<Result<Work, Fault>> {
		const person = records.person(personId);
		if (!person.ok) return person;
		if (person.value.cautionsAcknowledgedAt === null) return failure({ kind: "cautions-not-acknowledged" });
		const elsewhere = refuseElsewhere(personId, side);
		if (elsewhere !== null) return elsewhere;
		const before = leavings;
		starting = what;
		const measuring = await live.measuring().finally(() => {
			if (leavings === before) starting = null;
		});
		if (leavings !== before) return failure({ kind: "cancelled" });
		if (!measuring.ok) return measuring;
		// meanwhile others may have asked for something else
		const refused = refuseBusy() ?? refuseElsewhere(personId, side);
		if (refused !== null) return refused;
		const { electrodeCount } = measuring.value.band.pattern;
		const body = setUp.forElectrodes(electrodeCount) ?? setUp.limbAndBand;
		const conditions = conditionsOf(body, measuring.value, live.isSimulated, records);
		return conditions.ok
			? success({ personId, measuring: measuring.value, conditions: conditions.value, records })
			: conditions;
	}

	function record(title: string): Result<number, Fault> {
		if (live.recordedSession !== null) return success(live.recordedSession);
		const started = live.startRecording(title);
		if (!started.ok) return started;
		ownSession = started.value.sessionId;
		return success(ownSession);
	}

	async function closeRecording(): Promise<Result<null, Fault>> {
		const isOurs = ownSession !== null && live.recordedSession === ownSession;
		ownSession = null;
		if (!isOurs) return success(null);
		const stopped = await live.stopRecording();
		return stopped.ok ? success(null) : stopped;
	}

	async function closeUnlessSitting(): Promise<void> {
		// A disk that refuses is told by the store, which tries again.
		if (!isSitting) await closeRecording();
	}

	function leave(): Promise<Result<null, Fault>> {
		checkIn = null;
		return pauseForBand();
	}

	async function pauseForBand(): Promise<Result<null, Fault>> {
		stopIdling?.();
		stopIdling = null;
		if (checkIn !== null) onActivity();
		isSitting = false;
		leavings++;
		starting = null;
		if (references.isRunning) references.stop();
		references.keep();
		const left = exercises.leave();
		const closed = await closeRecording();
		return left.ok ? closed : left;
	}

	return {
		state: () => ({ reference: references.state, exercise: exercises.state, checkIn }),
		get busyWith() {
			return busyWith();
		},
		async startReference(wanted) {
			const refused = refuseBusy();
			if (refused !== null) return refused;
			const { person } = setUp;
			if (person === null) return failure({ kind: "no-person" });
			if (parts.store === null) return failure(noStore());
			const work = await prepare("reference", parts.store, person.id, null);
			if (!work.ok) return work;
			const session = record("Reference contraction");
			if (!session.ok) return session;
			follow(work.value);
			onActivity();
			return references.start(work.value, wanted);
		},
		stopReference: () => references.stop(),
		tellPain({ personId, now, nextMorning }) {
			const records = parts.store;
			if (records === null) return failure(noStore());
			const sets = records.personSets(personId);
			if (!sets.ok) return sets;
			const before = records.listCheckIns(personId);
			if (!before.ok) return before;
			const toldAt = toRfc3339(clock.now());
			const told = { toldAt, now, nextMorning };
			const advice = morningAdviceOn(sets.value, [...before.value, told], toldAt.slice(0, 10));
			checkIn = { personId, painBefore: now, advice };
			onActivity();
			parts.onChange();
			return records.addCheckIn(personId, told);
		},
		async startExercise({ personId, planVersion, itemIndex, painBefore }) {
			const refused = refuseBusy();
			if (refused !== null) return refused;
			const records = parts.store;
			if (records === null) return failure(noStore());
			const plan = records.presentPlan(personId);
			if (!plan.ok) return plan;
			const version = plan.value?.plan.versions.find((one) => one.version === planVersion);
			if (plan.value === null || version === undefined) {
				return failure({ kind: "no-such-record", what: "plan", id: planVersion });
			}
			const item = version.items[itemIndex];
			if (item === undefined) {
				const expected = `a number below ${version.items.length}, the exercises of the plan`;
				return failure({ kind: "invalid-argument", path: "itemIndex", expected, got: String(itemIndex) });
			}
			// an answer that the records have refused is given all the same
			const kept = exercises.keep();
			if (!kept.ok) return kept;
			const sets = records.personSets(personId);
			if (!sets.ok) return sets;
			const today = toRfc3339(clock.now()).slice(0, 10);
			const left = unansweredOn(sets.value, today);
			if (left !== null) return failure({ kind: "set-unanswered", setId: left.setId });
			const { over, hadToStop } = soFarOn(sets.value, today);
			const checkIns = records.listCheckIns(personId);
			if (!checkIns.ok) return checkIns;
			const own = checkIn?.personId === personId ? checkIn : null;
			// told before a restart it holds all the same
			const advice = own?.advice ?? morningAdviceOn(sets.value, checkIns.value, today);
			// at the clinic somebody who knows decides, by leaving and beginning again
			const isEnd = parts.isAtHome() ? (over ?? atHome(own?.painBefore ?? painBefore)) : exercises.nextStep;
			if (isOver(isEnd)) return failure({ kind: "exercise-over", action: isEnd.action });
			if (parts.isAtHome() && isEndedOn(item, sets.value, today)) {
				return failure({ kind: "exercise-over", action: "stop-exercise" });
			}
			// what was planned before, or ended, is nothing for somebody who is alone
			if (parts.isAtHome() && versionOn(plan.value.plan, today) !== version) {
				return failure({ kind: "no-such-record", what: "plan", id: planVersion });
			}
			const work = await prepare("exercise", records, personId, item.side);
			if (!work.ok) return work;
			const person = records.person(personId);
			if (!person.ok) return person;
			const { conditions, measuring } = work.value;
			const session = record("Exercises");
			if (!session.ok) return session;
			isSitting = true;
			follow(work.value);
			return exercises.start({
				work: work.value,
				sessionId: session.value,
				planId: plan.value.id,
				planVersion,
				itemIndex,
				item,
				painBefore,
				hadToStop,
				ease: advice.step === "less-today" ? advice.ease : null,
				references: referencesFor(person.value.references, conditions, measuring.model.geometry.unit),
			});
		},
		controlExercise: ({ action }) => exercises.control(action),
		answerSet: (answer) => exercises.answer(answer),
		answerLeftSet({ personId, setId, ...answer }) {
			const refused = refuseBusy();
			if (refused !== null) return refused;
			const records = parts.store;
			if (records === null) return failure(noStore());
			const sets = records.personSets(personId);
			if (!sets.ok) return sets;
			const index = sets.value.findIndex(({ id }) => id === setId);
			const set = sets.value[index];
			if (set === undefined) return failure({ kind: "no-such-record", what: "set", id: setId });
			// another page was quicker
			if (set.answer !== null) return failure({ kind: "not-running", what: "exercise" });
			const { hadToStop } = soFarOn(sets.value.slice(0, index), dayOf(set));
			const step = nextStepAfter(answer, { painBefore: set.painBefore, hadToStop });
			const answered = records.answerSet(setId, answer);
			return answered.ok ? success(step) : answered;
		},
		keep: () => exercises.keep(),
		leave,
		pauseForBand,
		onMeans(result, means) {
			askSimulated(result.seconds);
			if (followed === null || busyWith() === null || result.bandIndex !== followed.bandIndex) return;
			// pictures that were under way when it began are of the model before
			if (result.model.modelId < followed.model.modelId) return;
			if (result.model.modelId > followed.model.modelId || (result.isRestart && followed.hasBegun)) {
				const before = followed.model;
				followed.model = result.model;
				breakOff({ kind: "no-baseline" });
				// other regions cannot be followed with the counter that began with these
				if (!hasSameRegions(before, result.model)) exercises.stopTime();
				return;
			}
			if (!result.leftOut.isTrustworthy) {
				breakOff(bandOff(result.leftOut));
				return;
			}
			held.take(result, means);
		},
		onBreak: breakOff,
		onOtherBoard() {
			held.clear();
			references.breakOff({ kind: "not-connected" });
			exercises.stopTime();
		},
	};

	/** Real people look at the screen; simulated ones need to be told. */
	function askSimulated(seconds: number): void {
		if (!live.isSimulated) return;
		const { front, back } = obedience.effort(references.state, exercises.state, seconds);
		parts.asked.share[0] = front;
		parts.asked.share[1] = back;
	}

	function breakOff(fault: Fault): void {
		held.clear();
		references.breakOff(fault);
		exercises.breakOff(fault);
	}
}

/** What pain says to somebody who is about to begin alone. */
function atHome(pain: number | null): NextStep | null {
	return pain === null ? null : nextStepBefore(pain);
}

interface Followed {
	readonly bandIndex: number;
	model: ReadyModel;
	hasBegun: boolean;
}

function hasSameRegions(a: ReadyModel, b: ReadyModel): boolean {
	return a.regions.length === b.regions.length && a.regions.every(({ id }, i) => id === b.regions[i]!.id);
}
