/** What a page asks for when it opens a person with 40 sessions, each of three exercises in three sets of ten: the
 *  list of sessions, the progress over weeks, and the newest session's review. It runs on the thread that must answer. */
import { progressOfPerson } from "../../app/session/progress.ts";
import { reviewOf } from "../../app/session/session-review.ts";
import type { Store } from "../../app/store/store.ts";
import { dayNumberOf, dayOfNumber } from "../../core/exercise/calendar-day.ts";
import { library } from "../../core/exercise/library.ts";
import { planItemOf } from "../../core/exercise/plan.ts";
import { conditions, createReference, createResult, createSet, draft } from "../store/create-care.ts";
import { newSession, unwrap } from "../store/create-records.ts";
import { withBenchStore } from "./bench-store.ts";
import { benchHistoryInBrowser } from "./history-in-browser.ts";
import { time } from "./measure.ts";

const sessionCount = 40;
const setsEach = 3;
const repetitionsEach = 10;
const exercises = library.slice(0, 3);
const firstDay = dayNumberOf("2026-03-02");

export async function benchHistory(): Promise<Record<string, unknown>> {
	return { ...withBenchStore(measureHistory), "in a browser": await benchHistoryInBrowser(sessionCount) };
}

function measureHistory(store: Store): Record<string, unknown> {
	const { personId, lastSession } = fill(store);
	const today = dayOfNumber(firstDay + 2 * sessionCount);
	const list = time(() => unwrap(store.listSessions({ personId, offset: 0, limit: 50 })));
	const progress = time(() => unwrap(progressOfPerson(store, personId, today)), 2);
	const review = time(() => unwrap(reviewOf(store, lastSession)));
	const milliseconds = (micros: number): number => Number((micros / 1000).toPrecision(3));
	return {
		sessions: sessionCount,
		sets: sessionCount * exercises.length * setsEach,
		"listSessions + getProgress ms, median": milliseconds(list.median + progress.median),
		"listSessions + getProgress ms, p10": milliseconds(list.p10 + progress.p10),
		"getSessionReview ms, median": milliseconds(review.median),
	};
}

function fill(store: Store): { personId: number; lastSession: number } {
	const person = unwrap(
		store.savePerson({ id: null, code: "B-01", displayName: null, affectedSide: "left" }),
	);
	const personId = person.id;
	const bandId = unwrap(
		store.saveBand({
			name: "Band 16",
			electrodeCount: 16,
			electrodeWidth: 0.02,
			firstElectrodeDegrees: 0,
			direction: "anticlockwise",
			positions: null,
		}),
	);
	const items = exercises.map((exercise) => planItemOf(exercise, "left"));
	unwrap(store.savePlan(personId, { ...draft, items }));
	const referenceId = unwrap(
		store.addReference(createReference({ personId, conditions: { ...conditions, bandId } })),
	);
	const planId = unwrap(store.newestPlan(personId))!.id;
	const one = createSet(1).result.repetitions[0]!;
	let lastSession = 0;
	for (let session = 0; session < sessionCount; session++) {
		const day = dayOfNumber(firstDay + 2 * session);
		const recorder = unwrap(
			store.startSession({ ...newSession, personId, startedAt: `${day}T10:00:00.000+01:00` }),
		);
		unwrap(recorder.close());
		lastSession = recorder.sessionId;
		for (const [itemIndex, item] of items.entries()) {
			for (let set = 1; set <= setsEach; set++) {
				const repetitions = Array.from({ length: repetitionsEach }, (_, i) => ({
					...one,
					onset: one.onset + 10 * i,
					offset: one.offset + 10 * i,
				}));
				const made = createSet(recorder.sessionId, {
					plan: { planId, version: 1, itemIndex },
					item,
					result: createResult({ set, repetitions }),
					conditions: { ...conditions, bandId, referenceId },
				});
				unwrap(store.addSet(made));
			}
		}
	}
	return { personId, lastSession };
}
