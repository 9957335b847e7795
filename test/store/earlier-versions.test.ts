import { copyFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { expect, test } from "vitest";
import { readMigrations } from "../../app/store/migrate.ts";
import type { Store } from "../../app/store/store.ts";
import { checkIn, conditions, createReference } from "./create-care.ts";
import { after, createFolder, createOpenStore, readingsOf, series, unwrap } from "./create-store.ts";

const data = join(import.meta.dirname, "data");
const presentVersion = readMigrations(join(import.meta.dirname, "../../migrations")).length;
const versions = Array.from({ length: presentVersion }, (_, i) => i + 1);

/** Before version 4 nothing about pictures was chosen by hand. */
const chosenByRule = { lambdaByHand: null, allowsMovement: false };

/** The statements that made the tables, by name. */
function schemaOf(path: string): unknown[] {
	const db = new SqliteDatabase(path, { readonly: true });
	after(() => db.close());
	return db.prepare("SELECT type, name, sql FROM sqlite_schema ORDER BY type, name").all();
}

function copyOf(version: number): string {
	const path = join(createFolder(), "records.sqlite");
	copyFileSync(join(data, `version-${version}.db`), path);
	return path;
}

test("there is a file of every version", () => {
	const files = readdirSync(data).filter((name) => name.endsWith(".db"));
	expect(new Set(files)).toEqual(new Set(versions.map((version) => `version-${version}.db`)));
});

test.each(versions)("a file of version %i is brought to the present one with all its records", (version) => {
	const path = copyOf(version);
	const { store } = createOpenStore(path);
	expect(unwrap(store.listPeople())).toMatchObject([{ code: "F-01", affectedSide: "left", sessionCount: 1 }]);
	const detail = unwrap(store.session(1));
	expect(detail).toMatchObject({
		summary: { title: "Quad sets", frameCount: 10, simulated: true, closedCleanly: true, side: "left" },
		limb: { outline: { type: "ellipse", a: 0.085, b: 0.08 }, fatThickness: 0.009 },
		band: { name: "Fixture band", electrodeCount: 8 },
		configurations: [{ id: 1, readingCount: 40, voltsPerUnit: 1e-6 }],
		series: [{ ...series, ...(version < 4 ? chosenByRule : {}), id: 1 }],
	});
	expect(unwrap(store.readFrames(1, 0, 100)).map((frame) => frame.values)).toEqual(
		Array.from({ length: 10 }, (_, i) => readingsOf(i, 40)),
	);
	expect(unwrap(store.readBaselines(1))[0]!.noise).toEqual(readingsOf(2, 40));
	expect(unwrap(store.readTrends(1, 0))[0]!.means).toEqual(
		Float32Array.from({ length: 20 }, (_, i) => (i % 2 ? -1 : 1) * (i >> 1)),
	);
	expect(unwrap(store.readEvents(1))).toMatchObject([{ label: "fixture", detail: { of: version } }]);
	expect(unwrap(store.readContacts(1))[0]!.ohm[7]).toBe(207);
	expect(unwrap(store.setting("fixture"))).toEqual({ version });
	expect(unwrap(store.person(1))).toMatchObject({
		archived: false,
		cautionsAcknowledgedAt: null,
		sessions: 1,
	});
	if (version >= 2) expectCareRecords(store, version);
	if (version >= 3) expect(unwrap(store.listCheckIns(1))).toEqual([checkIn]);
	// Old and new files end in the very same tables; this also fails when a released migration is changed.
	expect(schemaOf(path)).toEqual(schemaOf(createOpenStore().path));
});

/** Came with version 2. */
function expectCareRecords(store: Store, version: number): void {
	// kept from version 3 on, and found for older ones with their session
	const drive = version >= 3 ? conditions.drive : "adjacent four-terminal 40";
	const inForce = { ...conditions, drive };
	const person = unwrap(store.person(1));
	expect(person.goals).toBe("Walk to the shop");
	expect(person.plan?.versions.map(({ from, reason }) => [from, reason])).toEqual([
		["2026-03-02", "First plan"],
		["2026-03-09", "More"],
	]);
	const reference = createReference({ personId: 1, conditions: inForce });
	expect(person.references).toEqual([{ ...reference, id: 1 }]);
	expect(unwrap(store.listExercises()).at(-1)).toMatchObject({ id: "own-quad-set", origin: "own" });
	expect(unwrap(store.listSets(1))).toMatchObject([
		{
			planVersion: 1,
			set: 1,
			startSeconds: 1,
			countedIn: "vastus-medialis",
			count: { automatic: { full: 2, partial: 0 } },
			countThatHolds: { full: 3, partial: 0 },
			conditions: { ...inForce, referenceId: 1 },
		},
	]);
	expect(unwrap(store.soap(1))).toMatchObject({ subjective: "Less stiff", plan: "As before" });
}
