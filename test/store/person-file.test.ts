import { readFileSync, writeFileSync } from "node:fs";
import SqliteDatabase from "better-sqlite3";
import { describe, expect, test } from "vitest";
import type { Store } from "../../app/store/store.ts";
import { usualReference } from "../../core/exercise/reference-contraction.ts";
import { checkIn, conditions, createReference, createSet, draft, quadSet } from "./create-care.ts";
import {
	after,
	appendFrames,
	createConfiguration,
	createOpenStore,
	faultOf,
	newSession,
	readingsOf,
	series,
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
const limb = {
	side: "left",
	outline: { type: "ellipse", a: 0.085, b: 0.08 },
	fatThickness: 0.009,
	level: 0.5,
} as const;

/** A person with some of everything; `before` other rows, so that ids differ between two stores. */
function createPerson(store: Store, code: string, frames = 600): number {
	const person = unwrap(
		store.savePerson({ id: null, code, displayName: "Invented Person", affectedSide: "left" }),
	);
	const personId = person.id;
	const bandId = unwrap(store.saveBand(band));
	const limbId = unwrap(store.saveLimb(personId, limb));
	unwrap(store.savePersonDetails({ personId, goals: "Stairs", archived: false }));
	unwrap(store.acknowledgeForPerson({ personId, version: 1 }));
	const own = { ...quadSet, id: "own-set", origin: "own", name: "Own set" } as const;
	unwrap(store.saveExercise(own));
	unwrap(
		store.savePlan(personId, { ...draft, items: [...draft.items, { ...draft.items[0]!, exercise: own }] }),
	);
	const inForce = { ...conditions, bandId };
	const referenceId = unwrap(store.addReference(createReference({ personId, conditions: inForce })));
	const protocol = { ...usualReference, target: "hamstrings" } as const;
	const hamstrings = createReference({ personId, protocol, conditions: inForce });
	const hamstringReferenceId = unwrap(store.addReference(hamstrings));
	unwrap(store.addCheckIn(personId, checkIn));
	const recorder = unwrap(store.startSession({ ...newSession, personId, limbId, bandId }));
	recorder.addConfiguration(createConfiguration());
	// of a second band, with a reading that takes in electrodes of the first
	const across = Uint16Array.of(0, 1, 2, 3, 0, 64, 65, 66);
	recorder.addConfiguration(
		createConfiguration({
			bandIndex: 1,
			drive: "listed",
			readingCount: 2,
			pattern: across,
			listedTerminals: across,
		}),
	);
	recorder.appendBaseline({
		bandIndex: 0,
		fromOrdinal: 0,
		takenAt: "2026-03-01T09:59:58.000+01:00",
		seconds: 3,
		frameCount: 90,
		automatic: true,
		configuration: 1,
		median: readingsOf(1),
		noise: readingsOf(2),
	});
	appendFrames(recorder, frames);
	const seriesId = recorder.addSeries(series);
	for (let i = Math.max(0, frames - 20); i < frames; i++)
		recorder.appendTrend(seriesId, i, Float32Array.of(i, -i));
	recorder.appendContacts(0, Float64Array.of(200, Number.NaN));
	recorder.appendEvent("mark", "walk", { steps: 12 });
	recorder.setCounters({ lost: 3, bad: { checksum: 2 } });
	unwrap(recorder.close());
	const { sessionId } = recorder;
	const planId = unwrap(store.newestPlan(personId))!.id;
	const setId = unwrap(
		store.addSet(
			createSet(sessionId, {
				plan: { planId, version: 1, itemIndex: 0 },
				conditions: { ...inForce, referenceId, hamstringReferenceId },
			}),
		),
	);
	unwrap(
		store.correctSet(setId, {
			count: { full: 3, partial: 0 },
			by: "clinician",
			at: "2026-03-01T10:05:00+01:00",
			reason: "",
		}),
	);
	unwrap(store.saveSoap({ sessionId, subjective: "s", objective: "o", assessment: "a", plan: "p" }));
	return personId;
}

async function exported(store: Store, personId: number): Promise<string> {
	return unwrap(await store.exportPerson(personId, "Tautline test")).text;
}

function removeAll(store: Store): void {
	while (unwrap(store.removeNext()));
}

/** Number of rows in each table that holds records. */
function rowsOf(path: string): Record<string, number> {
	const db = new SqliteDatabase(path, { readonly: true });
	after(() => db.close());
	const tables = db
		.prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
		.pluck()
		.all();
	return Object.fromEntries(
		tables.map((table) => [table, db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get()!]),
	);
}

function pagesOf(path: string): number {
	const db = new SqliteDatabase(path, { readonly: true });
	after(() => db.close());
	return db.pragma("page_count", { simple: true }) as number;
}

const ids = ["id", "sessionId", "personId", "planId", "referenceId", "hamstringReferenceId", "bandId"];

/** What must be the same after a record went through a file, with ids left out. */
function contentOf(store: Store, personId: number): unknown {
	const person = unwrap(store.person(personId));
	const [session] = unwrap(store.listSessions({ personId, offset: 0, limit: 10 })).sessions;
	const { id } = session!;
	const plain = (value: unknown) =>
		JSON.parse(
			JSON.stringify(value, (key, inner) =>
				ids.includes(key) && key !== "exerciseId" ? (typeof inner === "number" ? 0 : inner) : inner,
			),
		);
	return plain({
		person: { ...person, person: { ...person.person, displayName: null } },
		checkIns: unwrap(store.listCheckIns(personId)),
		session,
		detail: unwrap(store.session(id)),
		frames: unwrap(store.readFrames(id, 0, 10_000)),
		baselines: unwrap(store.readBaselines(id)),
		events: unwrap(store.readEvents(id)),
		contacts: unwrap(store.readContacts(id)),
		trends: unwrap(store.readTrends(id, 0)),
		sets: unwrap(store.listSets(id)),
		soap: unwrap(store.soap(id)),
		exercises: unwrap(store.listExercises()),
	});
}

describe("a person's file", () => {
	test("brings everything but the display name to another computer", async () => {
		const from = createOpenStore();
		const personId = createPerson(from.store, "P-01");
		const text = await exported(from.store, personId);
		expect(text).not.toContain("Invented Person");
		const to = createOpenStore();
		// Other ids there.
		createPerson(to.store, "P-77", 5);
		const added = unwrap(await to.store.importPerson("p.json", text));
		expect(contentOf(to.store, added)).toEqual(contentOf(from.store, personId));
		const imported = unwrap(to.store.listSessions({ personId: added, offset: 0, limit: 9 })).sessions[0]!;
		expect(imported.personCode).toBe("P-01");
		const [set] = unwrap(to.store.listSets(imported.id));
		// Engagement still refers to its own reference, and the plan is its own.
		expect(unwrap(to.store.reference(set!.conditions.referenceId!)).personId).toBe(added);
		expect(set!.planId).toBe(unwrap(to.store.newestPlan(added))!.id);
	});

	test("is refused where the record is already, and where another person has its code", async () => {
		const { store } = createOpenStore();
		const personId = createPerson(store, "P-01", 5);
		const text = await exported(store, personId);
		unwrap(store.savePerson({ id: personId, code: "P-02", displayName: null, affectedSide: "left" }));
		expect(faultOf(await store.importPerson("p.json", text))).toEqual({
			kind: "person-exists",
			code: "P-02",
			isSameRecord: true,
		});
		const other = createOpenStore().store;
		createPerson(other, "P-01", 5);
		expect(faultOf(await other.importPerson("p.json", text))).toEqual({
			kind: "person-exists",
			code: "P-01",
			isSameRecord: false,
		});
		expect(unwrap(other.listPeople())).toHaveLength(1);
	});

	test("can be read again after the person was deleted", async () => {
		const { store } = createOpenStore();
		const personId = createPerson(store, "P-01", 5);
		const before = contentOf(store, personId);
		const text = await exported(store, personId);
		unwrap(store.deletePerson(personId, "P-01"));
		removeAll(store);
		expect(contentOf(store, unwrap(await store.importPerson("p.json", text)))).toEqual(before);
	});

	test.each([
		["cut off", (text: string) => text.slice(0, text.length / 2), /something else/],
		["another format", (text: string) => text.replace("tautline-person", "other"), /format/],
		[
			"a newer version",
			(text: string) => text.replace('"schemaVersion":1', '"schemaVersion":2'),
			/schemaVersion/,
		],
		[
			"frames that are missing",
			(text: string) => text.replace('"frameCount":600', '"frameCount":601'),
			/frames/,
		],
		[
			"readings that were changed",
			(text: string) => text.replace(/"readings":"H4sIA.{40}/, '"readings":"H4sIA'),
			/./,
		],
		["a number out of range", (text: string) => text.replace(/"quality":\[1,/, '"quality":[2,'), /quality/],
		[
			"a reference that is not there",
			(text: string) => text.replace(/"referenceId":\d+/, '"referenceId":9'),
			/references/,
		],
		[
			"a configuration that is not there",
			(text: string) => text.replace(/"configurationId":\[1,/, '"configurationId":[2,'),
			/./,
		],
		[
			"a day that no calendar has",
			(text: string) => text.replace(/"startedAt":"2026-03-01/, '"startedAt":"2026-02-30'),
			/startedAt/,
		],
		[
			"a time of creation that no clock shows",
			(text: string) => text.replace(/"createdMs":\d+,"setup":\{"side"/, '"createdMs":9e15,"setup":{"side"'),
			/createdMs/,
		],
		[
			"a symptom that is not asked for",
			(text: string) => text.replace('"symptoms":[]', '"symptoms":["tired"]'),
			/symptoms/,
		],
		[
			"lists within lists without end",
			(text: string) => text.replace('{"steps":12}', `${"[".repeat(1e5)}${"]".repeat(1e5)}`),
			/detail/,
		],
		[
			"two plans of one id",
			(text: string) => text.replace(/"plans":\[(.+)\],"references"/, '"plans":[$1,$1],"references"'),
			/each once/,
		],
		[
			"a version of the plan that is not there",
			(text: string) => text.replace('"version":1,"itemIndex":0', '"version":2,"itemIndex":0'),
			/version 2/,
		],
		["a list in the place of a record", (text: string) => `[${text}]`, /a person's record/],
	])("with %s is refused in one sentence and leaves nothing behind", async (_, change, place) => {
		const from = createOpenStore();
		const text = await exported(from.store, createPerson(from.store, "P-01"));
		const changed = change(text);
		expect(changed).not.toBe(text);
		const to = createOpenStore();
		const before = rowsOf(to.path);
		const fault = faultOf(await to.store.importPerson("p.json", changed));
		expect(fault).toMatchObject({ kind: "bad-person-file" });
		expect(JSON.stringify(fault)).toMatch(place);
		expect(unwrap(to.store.listPeople(true))).toEqual([]);
		expect(unwrap(to.store.listSessions({ personId: null, offset: 0, limit: 9 })).total).toBe(0);
		removeAll(to.store);
		expect(rowsOf(to.path)).toEqual(before);
	});

	test("does not put another exercise beside one of the library", async () => {
		const from = createOpenStore();
		const text = await exported(from.store, createPerson(from.store, "P-01", 5));
		const { store } = createOpenStore();
		const before = unwrap(store.listExercises());
		unwrap(await store.importPerson("p.json", text.replaceAll('"own-set"', '"quad-set"')));
		expect(unwrap(store.listExercises())).toEqual(before);
	});

	test("is read in whole while another app on the same records removes what was left", async () => {
		const from = createOpenStore();
		const personId = createPerson(from.store, "P-01", 2600);
		const text = await exported(from.store, personId);
		const { store, path } = createOpenStore();
		const beside = createOpenStore(path).store;
		let isDone = false;
		const reading = store.importPerson("p.json", text).finally(() => {
			isDone = true;
		});
		let tries = 0;
		while (!isDone) {
			unwrap(beside.removeNext());
			tries++;
			await new Promise((resolve) => setImmediate(resolve));
		}
		expect(tries).toBeGreaterThan(3);
		expect(contentOf(store, unwrap(await reading))).toEqual(contentOf(from.store, personId));
		// what was refused on the way is nobody's, and goes
		const broken = text.replace('"frameCount":2600', '"frameCount":2601').replace('"P-01"', '"P-02"');
		const other = broken.replace(/"recordKey":"..../, '"recordKey":"0000');
		const before = rowsOf(path);
		expect(faultOf(await store.importPerson("p.json", other))).toMatchObject({ kind: "bad-person-file" });
		removeAll(beside);
		expect(rowsOf(path)).toEqual(before);
	});

	test("is neither written nor read any more once the work was called off", async () => {
		const { store } = createOpenStore();
		const personId = createPerson(store, "P-01");
		const text = await exported(store, personId);
		const signal = AbortSignal.abort();
		expect(faultOf(await store.exportPerson(personId, "t", signal))).toEqual({ kind: "cancelled" });
		const other = createOpenStore().store;
		expect(faultOf(await other.importPerson("p.json", text, signal))).toEqual({ kind: "cancelled" });
		expect(unwrap(other.listPeople(true))).toEqual([]);
	});
});

describe("deleting a person", () => {
	test("wants the code, says what goes, and leaves no row of theirs and every row of others", async () => {
		const { store, path } = createOpenStore();
		const stays = createPerson(store, "P-02", 40);
		const others = rowsOf(path);
		const othersContent = contentOf(store, stays);
		const personId = createPerson(store, "P-01");
		expect(faultOf(store.deletePerson(personId, "P-02"))).toMatchObject({ path: "code" });
		const counted = unwrap(store.countPersonRecords(personId));
		expect(counted).toEqual({
			limbs: 1,
			plans: 1,
			planVersions: 1,
			references: 2,
			sessions: 1,
			frames: 600,
			sets: 1,
			soapNotes: 1,
			checkIns: 1,
			keptCopies: [],
		});
		expect(unwrap(store.deletePerson(personId, "P-01"))).toEqual(counted);
		// Out of sight at once, before the frames are gone.
		expect(unwrap(store.listPeople(true))).toHaveLength(1);
		expect(unwrap(store.listSessions({ personId: null, offset: 0, limit: 9 })).total).toBe(1);
		removeAll(store);
		expect(rowsOf(path)).toEqual(others);
		expect(contentOf(store, stays)).toEqual(othersContent);
		expect(faultOf(store.person(personId))).toMatchObject({ kind: "no-such-record" });
	});

	test("goes on after a kill between two pieces", () => {
		const { store, path } = createOpenStore();
		const empty = rowsOf(path);
		const personId = createPerson(store, "P-01");
		unwrap(store.deletePerson(personId, "P-01"));
		unwrap(store.removeNext());
		store.dispose();
		const again = createOpenStore(path).store;
		expect(unwrap(again.listSessions({ personId: null, offset: 0, limit: 9 })).total).toBe(0);
		removeAll(again);
		expect(rowsOf(path)).toEqual({ ...empty, bands: 1, own_exercises: 1 });
	});

	test("gives the space back and leaves nothing readable in the file", () => {
		const { store, path } = createOpenStore();
		const code = "UNMISTAKABLE-CODE-4711";
		const personId = createPerson(store, code, 3000);
		const pages = () => pagesOf(path);
		const before = pages();
		unwrap(store.deletePerson(personId, code));
		removeAll(store);
		const empty = createOpenStore();
		createPerson(empty.store, "P-02", 0);
		expect(before).toBeGreaterThan(300);
		// As large as with a person who has no frames.
		expect(pages()).toBeLessThanOrEqual(pagesOf(empty.path) + 2);
		store.dispose();
		expect(readFileSync(path).includes(code)).toBe(false);
	});

	test("empties the log of it as soon as no other program reads the file any more", () => {
		const { store, path } = createOpenStore();
		const code = "UNMISTAKABLE-CODE-4712";
		const personId = createPerson(store, code, 300);
		const isReadable = () => [path, `${path}-wal`].some((file) => readFileSync(file).includes(code));
		const reader = new SqliteDatabase(path, { readonly: true });
		reader.exec("BEGIN");
		reader.prepare("SELECT count(*) FROM people").get();
		unwrap(store.deletePerson(personId, code));
		removeAll(store);
		expect(isReadable()).toBe(true);
		expect(store.isRemovalWaiting()).toBe(true);
		unwrap(store.removeNext());
		expect(store.isRemovalWaiting()).toBe(true);
		reader.close();
		expect(unwrap(store.removeNext())).toBe(false);
		expect(store.isRemovalWaiting()).toBe(false);
		expect(isReadable()).toBe(false);
	});

	test("waits for a recording of that person to end, as a file of it does", async () => {
		const { store } = createOpenStore();
		const personId = createPerson(store, "P-01", 5);
		const recorder = unwrap(store.startSession({ ...newSession, personId }));
		expect(faultOf(store.deletePerson(personId, "P-01"))).toEqual({ kind: "already-recording" });
		expect(faultOf(await store.exportPerson(personId, "t"))).toEqual({ kind: "already-recording" });
		unwrap(recorder.close());
		unwrap(await store.exportPerson(personId, "t"));
		unwrap(store.deletePerson(personId, "P-01"));
	});

	test("names the copies beside the file that it does not touch", () => {
		const { store, path } = createOpenStore();
		const personId = createPerson(store, "P-01", 5);
		writeFileSync(`${path}.before-version-2`, "");
		writeFileSync(`${path}.other`, "");
		expect(unwrap(store.countPersonRecords(personId)).keptCopies).toEqual([
			"records.sqlite.before-version-2",
		]);
	});
});
