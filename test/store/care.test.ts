import { expect, test } from "vitest";
import {
	conditions,
	createReference,
	createResult,
	createSet,
	draft,
	legRaise,
	quadSet,
} from "./create-care.ts";
import {
	createConfiguration,
	createFrame,
	createOpenStore,
	faultOf,
	newSession,
	unwrap,
} from "./create-store.ts";

const band = {
	name: "Band 16",
	electrodeCount: 16,
	electrodeWidth: 0.02,
	firstElectrodeDegrees: 0,
	direction: "anticlockwise",
	positions: null,
} as const;

function createScene() {
	const opened = createOpenStore();
	const { store } = opened;
	const person = unwrap(
		store.savePerson({ id: null, code: "P-01", displayName: "Invented Person", affectedSide: "left" }),
	);
	unwrap(store.saveBand(band));
	return { ...opened, personId: person.id };
}

/** A session whose first frame came at 5 s on the board's clock. */
function createSession(
	store: ReturnType<typeof createScene>["store"],
	personId: number | null,
	day = "2026-03-02",
) {
	const recorder = unwrap(
		store.startSession({ ...newSession, personId, startedAt: `${day}T10:00:00.000+01:00` }),
	);
	recorder.addConfiguration(createConfiguration());
	recorder.appendFrame(createFrame(0, { timeMicros: 5_000_000 }), 1e12, 0, 1);
	unwrap(recorder.close());
	return recorder.sessionId;
}

test("keeps goals, archives a person out of the list, and finds it again", () => {
	const { store, personId } = createScene();
	expect(unwrap(store.person(personId))).toMatchObject({ goals: "", archived: false, plan: null, limbs: [] });
	unwrap(store.savePersonDetails({ personId, goals: "Stairs without the rail", archived: true }));
	expect(unwrap(store.listPeople())).toEqual([]);
	expect(unwrap(store.listPeople(true))).toMatchObject([{ id: personId, archived: true }]);
	expect(unwrap(store.person(personId))).toMatchObject({ goals: "Stairs without the rail", archived: true });
	// Saving the name does not bring an archived person back.
	unwrap(store.savePerson({ id: personId, code: "P-01", displayName: null, affectedSide: "left" }));
	expect(unwrap(store.person(personId)).archived).toBe(true);
});

test("tells when a person was told the cautions, and not of another version of them", () => {
	const { store, personId } = createScene();
	expect(faultOf(store.acknowledgeForPerson({ personId, version: 999 }))).toMatchObject({ path: "version" });
	expect(unwrap(store.person(personId)).cautionsAcknowledgedAt).toBeNull();
	unwrap(store.acknowledgeForPerson({ personId, version: 1 }));
	expect(unwrap(store.person(personId)).cautionsAcknowledgedAt).toMatch(/^2026-03-01T/);
});

test("lists limb measurements newest first", () => {
	const { store, personId } = createScene();
	const limb = { side: "left", fatThickness: 0.009, level: 0.5 } as const;
	unwrap(store.saveLimb(personId, { ...limb, outline: { type: "circle", radius: 0.08 } }));
	unwrap(store.saveLimb(personId, { ...limb, outline: { type: "circle", radius: 0.081 } }));
	const radii = unwrap(store.person(personId)).limbs.map(({ setup }) => setup.outline);
	expect(radii).toEqual([
		{ type: "circle", radius: 0.081 },
		{ type: "circle", radius: 0.08 },
	]);
});

test("adds own exercises after the library, changes them by id, and leaves the library alone", () => {
	const { store } = createScene();
	const own = { ...quadSet, id: "wall-slide", origin: "own", name: "Wall slide" } as const;
	const before = unwrap(store.listExercises()).length;
	unwrap(store.saveExercise(own));
	unwrap(store.saveExercise({ ...own, name: "Slow wall slide" }));
	const listed = unwrap(store.listExercises());
	expect(listed).toHaveLength(before + 1);
	expect(listed.at(-1)?.name).toBe("Slow wall slide");
	expect(faultOf(store.saveExercise({ ...own, id: "quad-set" }))).toMatchObject({ path: "exercise.id" });
});

test("keeps every version of a plan, and begins another plan after one has ended", () => {
	const { store, personId } = createScene();
	unwrap(store.savePlan(personId, draft));
	const second = unwrap(
		store.savePlan(personId, { ...draft, from: "2026-03-16", items: draft.items.slice(1) }),
	);
	expect(second.versions.map(({ version, items }) => [version, items.length])).toEqual([
		[1, 2],
		[2, 1],
	]);
	expect(faultOf(store.savePlan(personId, draft))).toMatchObject({ kind: "invalid-argument" });
	expect(unwrap(store.endPlan(personId, "2026-04-01")).endedOn).toBe("2026-04-01");
	// Changed before its end, it goes on; after it, what lies between stays free of prescriptions.
	const third = unwrap(store.savePlan(personId, { ...draft, from: "2026-04-20" }));
	expect(third).toMatchObject({ versions: [{ version: 1, from: "2026-04-20" }], endedOn: null });
	expect(unwrap(store.listPlans(personId)).map(({ plan }) => plan.endedOn)).toEqual(["2026-04-01", null]);
	expect(unwrap(store.newestPlan(personId))?.plan).toEqual(third);
});

test("a plan that ends later is not hidden by one that follows it", () => {
	const { store, clock, personId } = createScene();
	unwrap(store.savePlan(personId, draft));
	const ended = unwrap(store.endPlan(personId, "2026-04-01"));
	// at once, and after a break
	for (const from of ["2026-04-01", "2026-04-20"]) {
		const next = unwrap(store.savePlan(personId, { ...draft, from }));
		const presentOn = (day: string) => {
			clock.time = Date.parse(`${day}T12:00:00Z`);
			expect(unwrap(store.person(personId)).plan).toEqual(unwrap(store.presentPlan(personId))?.plan);
			return unwrap(store.presentPlan(personId))?.plan;
		};
		expect(presentOn("2026-03-01")).toEqual(ended);
		expect(presentOn("2026-03-31")).toEqual(ended);
		expect(presentOn("2026-04-01")).toEqual(next);
		expect(presentOn("2026-04-25")).toEqual(next);
	}
});

test("sets stay in order through the hour in which the clocks are set back", () => {
	const { store, personId } = createScene();
	const startedAts = ["2026-10-25T02:50:00.000+02:00", "2026-10-25T02:10:00.000+01:00"];
	const sessionIds = startedAts.map((startedAt) => {
		const recorder = unwrap(store.startSession({ ...newSession, personId, startedAt }));
		unwrap(store.addSet(createSet(recorder.sessionId)));
		unwrap(recorder.close());
		return recorder.sessionId;
	});
	expect(unwrap(store.personSets(personId)).map(({ sessionId }) => sessionId)).toEqual(sessionIds);
});

test("a plan that is changed before its end runs on", () => {
	const { store, personId } = createScene();
	unwrap(store.savePlan(personId, draft));
	unwrap(store.endPlan(personId, "2026-04-01"));
	expect(unwrap(store.savePlan(personId, { ...draft, from: "2026-03-20" }))).toMatchObject({
		endedOn: null,
		versions: [{}, { version: 2 }],
	});
	expect(unwrap(store.listPlans(personId))).toHaveLength(1);
});

test("ends no plan where there is none, and plans nothing for nobody", () => {
	const { store, personId } = createScene();
	expect(faultOf(store.endPlan(personId, "2026-03-01"))).toMatchObject({
		kind: "no-such-record",
		what: "plan",
	});
	expect(faultOf(store.savePlan(99, draft))).toEqual({ kind: "no-such-record", what: "person", id: 99 });
});

test("keeps references as measured and finds the newest of a side", () => {
	const { store, personId } = createScene();
	const first = unwrap(store.addReference(createReference({ personId })));
	const right = createReference({ personId, conditions: { ...conditions, side: "right" } });
	unwrap(store.addReference(right));
	const third = unwrap(store.addReference(createReference({ personId })));
	expect(unwrap(store.reference(first))).toEqual({ ...createReference({ personId }), id: first });
	expect(unwrap(store.listReferences(personId)).map(({ id }) => id)).toEqual([third, third - 1, first]);
	expect(unwrap(store.latestReference(personId, "left"))?.id).toBe(third);
	expect(unwrap(store.latestReference(null, "left"))).toBeNull();
	expect(faultOf(store.reference(99))).toMatchObject({ what: "reference" });
});

test("gives sets back in seconds of their session, peaks in percent of the reference", () => {
	const { store, personId } = createScene();
	const referenceId = unwrap(store.addReference(createReference({ personId })));
	const sessionId = createSession(store, personId);
	const set = createSet(sessionId, { conditions: { ...conditions, referenceId } }, 7);
	const setId = unwrap(store.addSet(set));
	const [read] = unwrap(store.listSets(sessionId));
	expect(read).toMatchObject({
		id: setId,
		startSeconds: 2,
		endSeconds: 32,
		repetitions: [{ onset: 4, offset: 10 }, { onset: 20 }],
		item: set.item,
		summary: set.result.summary,
		answer: set.result.answer,
		painBefore: 1,
		countThatHolds: { full: 2, partial: 0 },
		conditions: { ...conditions, referenceId },
	});
	// 0.0118 of a reference of −0.02
	expect(read!.peaks[0]).toBeCloseTo(59, 9);
});

test("keeps corrections beside the automatic count; the last one holds", () => {
	const { store, personId } = createScene();
	const setId = unwrap(store.addSet(createSet(createSession(store, personId))));
	const correction = (full: number, by: "patient" | "clinician") => ({
		count: { full, partial: 0 },
		by,
		at: "2026-03-02T10:10:00+01:00",
		reason: "",
	});
	unwrap(store.correctSet(setId, correction(3, "patient")));
	const corrected = unwrap(store.correctSet(setId, correction(4, "clinician")));
	expect(corrected.count.automatic).toEqual({ full: 2, partial: 0 });
	expect(corrected.count.corrections.map(({ count }) => count.full)).toEqual([3, 4]);
	expect(corrected.countThatHolds).toEqual({ full: 4, partial: 0 });
	expect(faultOf(store.correctSet(99, correction(1, "patient")))).toMatchObject({ what: "set" });
});

test("takes answers that came after the set was stored", () => {
	const { store, personId } = createScene();
	const sessionId = createSession(store, personId);
	const setId = unwrap(store.addSet(createSet(sessionId, { result: createResult({ answer: null }) })));
	expect(unwrap(store.listSets(sessionId))[0]?.answer).toBeNull();
	const answer = { pain: 4, effort: 0.5, symptoms: ["giving-way"] };
	unwrap(store.answerSet(setId, answer));
	expect(unwrap(store.listSets(sessionId))[0]?.answer).toEqual(answer);
	expect(faultOf(store.answerSet(99, answer))).toMatchObject({ what: "set" });
});

test("tells session by session what was done, with corrected counts", () => {
	const { store, personId } = createScene();
	const monday = createSession(store, personId, "2026-03-02");
	createSession(store, personId, "2026-03-03");
	const wednesday = createSession(store, personId, "2026-03-04");
	const item = { ...createSet(1).item, exercise: legRaise };
	unwrap(store.addSet(createSet(monday)));
	const second = unwrap(store.addSet(createSet(monday, { result: createResult({ set: 2 }) })));
	unwrap(store.addSet(createSet(wednesday, { item })));
	// somebody stopped with a pain in the chest before the work began
	const friday = createSession(store, personId, "2026-03-06");
	const count = { automatic: null, personal: { full: 0, partial: 0 }, corrections: [] };
	const answer = { pain: 2, effort: null, symptoms: ["chest"] };
	const nothing = {
		set: 1,
		start: 7,
		end: 7,
		countedIn: null,
		repetitions: [],
		summary: null,
		count,
		answer,
	};
	unwrap(store.addSet(createSet(friday, { result: nothing })));
	unwrap(
		store.correctSet(second, {
			count: { full: 5, partial: 0 },
			by: "clinician",
			at: "2026-03-02T11:00:00Z",
			reason: "",
		}),
	);
	expect(unwrap(store.listDone(personId))).toEqual([
		{ day: "2026-03-02", items: [{ exerciseId: "quad-set", sets: 2, repetitions: 7, meanHoldSeconds: 5.5 }] },
		{
			day: "2026-03-04",
			items: [
				{
					exerciseId: "straight-leg-raise",
					sets: 1,
					repetitions: 2,
					meanHoldSeconds: legRaise.kind === "hold" ? 5.5 : null,
				},
			],
		},
	]);
	expect(unwrap(store.personSets(personId)).map(({ sessionId }) => sessionId)).toEqual([
		monday,
		monday,
		wednesday,
		friday,
	]);
});

test("keeps one set of notes for a session, and none for one that is not there", () => {
	const { store, personId } = createScene();
	const sessionId = createSession(store, personId);
	const notes = { sessionId, subjective: "s", objective: "o", assessment: "a", plan: "p" };
	expect(unwrap(store.soap(sessionId))).toBeNull();
	unwrap(store.saveSoap(notes));
	unwrap(store.saveSoap({ ...notes, plan: "more" }));
	expect(unwrap(store.soap(sessionId))).toMatchObject({ subjective: "s", plan: "more" });
	expect(faultOf(store.saveSoap({ ...notes, sessionId: 99 }))).toMatchObject({ what: "session" });
});

test("a band that is put on a few degrees off is the same band to compare by", () => {
	const { store } = createOpenStore();
	expect(unwrap(store.wornBandId(band))).toBeNull();
	const first = unwrap(store.saveBand(band));
	const turned = unwrap(store.saveBand({ ...band, firstElectrodeDegrees: 3 }));
	expect(turned).not.toBe(first);
	expect(unwrap(store.wornBandId({ ...band, firstElectrodeDegrees: 3 }))).toBe(first);
	const reversed = { ...band, direction: "clockwise" } as const;
	expect(unwrap(store.wornBandId(reversed))).toBeNull();
});
