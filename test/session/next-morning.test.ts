import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import type { Person } from "../../app/contract.ts";
import { inventedBand } from "../../app/link/simulated/invented-person.ts";
import { openStore } from "../../app/store/store.ts";
import { conditions, createResult, createSet } from "../store/create-care.ts";
import { newSession, unwrap } from "../store/create-store.ts";
import { createFakeClock, type FakeClock } from "./fake-clock.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

const HOUR_MS = 3_600_000;

let folder: string;
let clock: FakeClock;
let scene: OpenBackend;
let person: Person;

/** A sitting of one set with these answers, put into the records while nobody else has them open. */
async function sit(painBefore: number, painAfter: number): Promise<void> {
	await scene.backend.dispose();
	const store = unwrap(
		openStore({
			path: join(folder, "tautline.sqlite"),
			mode: "create",
			appVersion: "test",
			whenCorrupt: "set-aside",
			now: () => clock.now(),
			timers: { setInterval: () => 0, clearInterval: () => undefined },
			onFault: () => undefined,
		}),
	);
	const startedAt = new Date(clock.now()).toISOString();
	const bandId = unwrap(store.saveBand(inventedBand(16)));
	const recorder = unwrap(store.startSession({ ...newSession, personId: person.id, startedAt }));
	unwrap(recorder.close());
	const result = createResult({ answer: { pain: painAfter, effort: 3, symptoms: [] } });
	unwrap(
		store.addSet(
			createSet(recorder.sessionId, { result, painBefore, conditions: { ...conditions, bandId } }),
		),
	);
	store.dispose();
	scene = openBackend({ dataFolder: folder, clock, source: null });
}

const dayOf = () => {
	const date = new Date(clock.now());
	const two = (value: number) => String(value).padStart(2, "0");
	return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
};
const today = () => scene.ask("getToday", { personId: person.id, day: dayOf() });
const tell = (now: number, nextMorning: number | null) =>
	scene.ask("tellPain", { personId: person.id, now, nextMorning });

beforeEach(async () => {
	folder = mkdtempSync(join(tmpdir(), "tautline-morning-"));
	clock = createFakeClock();
	scene = openBackend({ dataFolder: folder, clock, source: null });
	const plain = { id: null, displayName: null, affectedSide: "left" } as const;
	person = await scene.ask("savePerson", { ...plain, code: "P-1" });
});

afterEach(async () => {
	await scene.close();
	rmSync(folder, { recursive: true });
});

test("is asked about on a later day, once, and only after a sitting that hurt", async () => {
	expect((await today()).asksNextMorning).toBe(false);
	await sit(1, 2);
	clock.turn(24 * HOUR_MS);
	expect((await today()).asksNextMorning).toBe(false);
	await sit(1, 4);
	expect((await today()).asksNextMorning).toBe(false);
	clock.turn(24 * HOUR_MS);
	expect((await today()).asksNextMorning).toBe(true);
	await tell(2, null);
	expect((await today()).asksNextMorning).toBe(true);
	await tell(2, 4);
	expect((await today()).asksNextMorning).toBe(false);
});

test("stands with the session that it is about, in its review and in the progress", async () => {
	await sit(1, 4);
	clock.turn(24 * HOUR_MS);
	await tell(2, 4);
	await sit(2, 3);
	const { pain } = await scene.ask("getProgress", { personId: person.id });
	expect(pain.points.map(({ nextMorning }) => nextMorning)).toMatchObject([
		{ pain: 4, verdict: "not-settled" },
		null,
	]);
	const review = await scene.ask("getSessionReview", { sessionId: pain.points[0]!.sessionId });
	expect(review.nextMorning).toMatchObject({ pain: 4, verdict: "not-settled" });
});

test("holds for the sitting until that is left, whatever page is open", async () => {
	await sit(1, 4);
	clock.turn(24 * HOUR_MS);
	expect(scene.backend.state().checkIn).toBeNull();
	await tell(3, 6);
	expect(scene.backend.state().checkIn).toEqual({
		personId: person.id,
		painBefore: 3,
		advice: {
			step: "less-today",
			tellTherapist: true,
			ease: { repetitionShare: 0.7, restShare: 1.5 },
		},
	});
	await scene.ask("leaveExercise", null);
	expect(scene.backend.state().checkIn).toBeNull();
});

test("is forgotten when a sitting is not gone on with", async () => {
	await tell(3, null);
	expect(scene.backend.state().checkIn).toMatchObject({ painBefore: 3, advice: { step: "as-planned" } });
	clock.turn(HOUR_MS / 4 + 1000);
	await scene.until(({ checkIn }) => checkIn === null);
});
