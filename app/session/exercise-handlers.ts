/** What each request about a person's work with the band does. */
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, LimbSetup, Person, PersonRecord } from "../contract.ts";
import { sealPin } from "./home.ts";
import { asksNextMorning } from "./next-morning.ts";
import type { RequestHandlers } from "./request-dispatch.ts";
import type { HandlerParts } from "./request-handlers.ts";
import { todayOf } from "./today.ts";

export type ExerciseRequest =
	| "wearBand"
	| "startReference"
	| "stopReference"
	| "tellPain"
	| "startExercise"
	| "controlExercise"
	| "answerSet"
	| "answerLeftSet"
	| "leaveExercise"
	| "getToday"
	| "enterHome"
	| "leaveHome";

type Side = LimbSetup["side"];

export interface ExerciseHandlerParts extends HandlerParts {
	/** To be called after the set-up has become another one. */
	readonly followSetUp: () => Result<null, Fault>;
}

export function createExerciseHandlers(parts: ExerciseHandlerParts): Pick<RequestHandlers, ExerciseRequest> {
	const { live, place, home, setUp, replays, store } = parts;

	function noStore(): Result<never, Fault> {
		return failure(parts.storeFault() ?? { kind: "internal", detail: "no store" });
	}

	/** The set-up becomes that person's. @param side null for whichever thigh was measured last */
	function setUpFor(
		{ person, limbs }: Pick<PersonRecord, "person" | "limbs">,
		side: Side | null,
	): Result<null, Fault> {
		const { limb: present, band } = setUp.limbAndBand;
		const isTheirs = setUp.person?.id === person.id && (side === null || present.side === side);
		if (isTheirs) return success(null);
		const newest = limbs.find(({ setup }) => side === null || setup.side === side);
		if (newest === undefined) return failure({ kind: "limb-not-measured", personId: person.id, side });
		return setUp.change({ personId: person.id, limb: newest.setup, band });
	}

	/** Refuses while a recording runs: what is recorded belongs to the limb that it began with. Pictures, and the leg
	 *  under a simulated board, follow. */
	function moveTo(personId: number, side: Side | null): Result<Person, Fault> {
		if (store === null) return noStore();
		if (live.isRecording) return failure({ kind: "already-recording" });
		const record = store.person(personId);
		if (!record.ok) return record;
		const before = JSON.stringify(setUp.limbAndBand);
		const changed = setUpFor(record.value, side);
		if (!changed.ok) return changed;
		const isSame = JSON.stringify(setUp.limbAndBand) === before;
		const followed = isSame ? success(null) : parts.followSetUp();
		return followed.ok ? success(record.value.person) : followed;
	}

	return {
		async wearBand({ personId, side }) {
			// between two exercises of one sitting the band may go to the other leg: each leg has its own recording
			const left = await place.pauseForBand();
			if (!left.ok) return left;
			const moved = moveTo(personId, side);
			if (!moved.ok) return moved;
			live.forgetRest();
			return success(null);
		},
		startReference: (wanted) => place.startReference(wanted),
		stopReference: () => place.stopReference(),
		tellPain: (told) => place.tellPain(told),
		startExercise: (wanted) => place.startExercise(wanted),
		controlExercise: (wanted) => place.controlExercise(wanted),
		answerSet: (answer) => place.answerSet(answer),
		answerLeftSet: (answer) => place.answerLeftSet(answer),
		leaveExercise: () => place.leave(),
		getToday({ personId, day }) {
			if (store === null) return noStore();
			const record = store.person(personId);
			if (!record.ok) return record;
			const kept = place.keep();
			if (!kept.ok) return kept;
			const sets = store.personSets(personId);
			if (!sets.ok) return sets;
			const sessions = store.listDone(personId);
			if (!sessions.ok) return sessions;
			const checkIns = store.listCheckIns(personId);
			if (!checkIns.ok) return checkIns;
			const { plan, cautionsAcknowledgedAt } = record.value;
			const cautionsAcknowledged = cautionsAcknowledgedAt !== null;
			const today = todayOf(plan, sets.value, sessions.value, day, cautionsAcknowledged);
			// what is being asked just now was not left
			const isAtIt = place.busyWith === "exercise" && place.state().exercise?.personId === personId;
			return success({
				...today,
				unanswered: isAtIt ? null : today.unanswered,
				asksNextMorning: asksNextMorning(sets.value, checkIns.value, day),
			});
		},
		async enterHome({ personId, pin }) {
			// first, for it takes a while: nothing may come between the set-up and the lock
			const sealed = pin === null ? null : await sealPin(pin);
			const left = await place.leave();
			if (!left.ok) return left;
			// another page may have been quicker
			if (home.state !== null) return failure({ kind: "locked" });
			const moved = moveTo(personId, null);
			if (!moved.ok) return moved;
			// somebody else's recording and reference must not stay on the screen
			replays.close();
			if (place.state().reference !== null) place.stopReference();
			return home.enter(moved.value, sealed);
		},
		async leaveHome({ pin }) {
			if (home.state === null) return success(null);
			const left = await home.leave(pin);
			return left.ok ? place.leave() : left;
		},
	};
}
