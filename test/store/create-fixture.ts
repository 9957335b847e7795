/** Writes `data/version-N.db` for the present version N; see `data/README.md`. Refuses to write over one. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { readMigrations } from "../../app/store/migrate.ts";
import { openStore } from "../../app/store/store.ts";
import { checkIn, conditions, createReference, createSet, draft, quadSet } from "./create-care.ts";
import {
	createConfiguration,
	createFrame,
	newSession,
	readingsOf,
	series,
	unwrap,
} from "./create-records.ts";

const version = readMigrations(join(import.meta.dirname, "../../migrations")).length;
const path = join(import.meta.dirname, "data", `version-${version}.db`);
if (existsSync(path)) throw new Error(`${path} is there already`);

const readingCount = 40;
const store = unwrap(
	openStore({
		path,
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: "0.0.0-fixture",
		now: () => Date.UTC(2026, 2, 1, 9),
		timers: { setInterval: () => null, clearInterval: () => undefined },
		onFault: () => undefined,
	}),
);
const person = unwrap(
	store.savePerson({ id: null, code: "F-01", displayName: "Invented Person", affectedSide: "left" }),
);
const outline = { type: "ellipse", a: 0.085, b: 0.08 } as const;
const limb = { side: "left", outline, fatThickness: 0.009, level: 0.5 } as const;
const band = {
	name: "Fixture band",
	electrodeCount: 8,
	electrodeWidth: 0.02,
	firstElectrodeDegrees: 0,
	direction: "anticlockwise",
	positions: null,
} as const;
const recorder = unwrap(
	store.startSession({
		...newSession,
		personId: person.id,
		limbId: unwrap(store.saveLimb(person.id, limb)),
		bandId: unwrap(store.saveBand(band)),
	}),
);
recorder.addConfiguration(createConfiguration({ electrodeCount: 8, readingCount }));
recorder.appendBaseline({
	bandIndex: 0,
	fromOrdinal: 0,
	takenAt: "2026-03-01T09:59:58.000+01:00",
	seconds: 3,
	frameCount: 90,
	automatic: true,
	configuration: 1,
	median: readingsOf(1, readingCount),
	noise: readingsOf(2, readingCount),
});
const seriesId = recorder.addSeries(series);
for (let i = 0; i < 10; i++) {
	const values = readingsOf(i, readingCount);
	recorder.appendTrend(
		seriesId,
		recorder.appendFrame(createFrame(i, { values }), 1e12 + i, 0, 1),
		Float32Array.of(i, -i),
	);
}
recorder.appendContacts(
	0,
	Float64Array.from({ length: 8 }, (_, i) => 200 + i),
);
recorder.appendEvent("mark", "fixture", { of: version });
unwrap(recorder.close());
unwrap(store.saveSetting("fixture", { version }));
unwrap(store.savePersonDetails({ personId: person.id, goals: "Walk to the shop", archived: false }));
unwrap(store.savePlan(person.id, draft));
unwrap(store.savePlan(person.id, { ...draft, from: "2026-03-09", reason: "More" }));
const own = { ...quadSet, id: "own-quad-set", origin: "own", name: "Own quad set" } as const;
unwrap(store.saveExercise(own));
const referenceId = unwrap(store.addReference(createReference({ personId: person.id })));
const plan = { planId: unwrap(store.newestPlan(person.id))!.id, version: 1, itemIndex: 0 };
const setId = unwrap(
	store.addSet(createSet(recorder.sessionId, { plan, conditions: { ...conditions, referenceId } })),
);
unwrap(
	store.correctSet(setId, {
		count: { full: 3, partial: 0 },
		by: "clinician",
		at: "2026-03-01T10:05:00+01:00",
		reason: "The first was missed",
	}),
);
unwrap(
	store.saveSoap({
		sessionId: recorder.sessionId,
		subjective: "Less stiff",
		objective: "Full extension",
		assessment: "Goes well",
		plan: "As before",
	}),
);
unwrap(store.addCheckIn(person.id, checkIn));
store.dispose();
process.stdout.write(`${path}\n`);
