/** The demo's records through the app itself: what the screens ask of them must be there, and be marked as invented. */
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeDemoFile } from "../../app/session/demo/demo-file.ts";
import { demoPeople } from "../../app/session/demo/demo-people.ts";
import { muscleRegions } from "../../core/exercise/exercise.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

const folder = mkdtempSync(join(tmpdir(), "tautline-demo-"));
const shares: number[] = [];
let scene: OpenBackend;

/** It takes some seconds, more on a busy machine. */
const MAKING_MS = 60_000;

beforeAll(async () => {
	const people = demoPeople.filter(({ story }) => story === "recovery" || story === "new");
	const path = join(folder, "tautline.sqlite");
	const made = await makeDemoFile(path, Date.now(), (share) => shares.push(share), { people, days: 10 });
	if (!made.ok) throw new Error(JSON.stringify(made.error));
	scene = openBackend({ dataFolder: folder, source: null });
}, MAKING_MS);

afterAll(async () => {
	await scene.close();
	rmSync(folder, { recursive: true });
});

/** The newest session with sets. */
async function newest() {
	const { sessions } = await scene.ask("listSessions", { personId: 1, offset: 0, limit: 50 });
	const session = sessions.find(({ title, side }) => title === "Exercises" && side === "right")!;
	return { session, sets: await scene.ask("listSets", { sessionId: session.id }) };
}

describe("the demo clinic", () => {
	test("leaves one whole file, told of its progress", () => {
		expect(readdirSync(folder).filter((name) => name.includes("part"))).toEqual([]);
		expect(shares.at(-1)).toBe(1);
		expect(shares).toEqual([...shares].sort((a, b) => a - b));
	});

	test("holds only people and sessions that say that they are invented", async () => {
		const people = await scene.ask("listPeople", null);
		expect(people.map(({ code }) => code)).toEqual(["DEMO-1", "DEMO-5"]);
		for (const { displayName } of people) expect(displayName).toMatch(/^Invented person/);
		const { sessions } = await scene.ask("listSessions", { personId: null, offset: 0, limit: 100 });
		expect(sessions.length).toBeGreaterThan(4);
		expect(sessions.every(({ simulated, closedCleanly }) => simulated && closedCleanly)).toBe(true);
		expect(scene.backend.state().setup.person?.code).toBe("DEMO-1");
	});

	test("counts what the invented person did", async () => {
		const { sets } = await newest();
		expect(sets.map(({ item, set }) => [item.exercise.id, set])).toEqual([
			["quad-set", 1],
			["quad-set", 2],
			["straight-leg-raise", 1],
		]);
		for (const { summary, item, countedIn, peaks, count } of sets) {
			expect(countedIn).toBe(item.exercise.targetRegions[0]);
			expect(count.automatic?.full).toBe(item.dose.repetitions);
			expect(summary?.unit).toBe("percent");
			expect(peaks).toHaveLength(item.dose.repetitions);
			// Hamstrings work along by an eighth of the quadriceps or less in what is simulated (link/simulated/exercises.ts);
			// the picture's blur adds some of its neighbours.
			if (summary?.coContraction.state !== "measured") throw new Error(summary?.coContraction.state);
			expect(summary.coContraction.ratio).toBeGreaterThan(0);
			expect(summary.coContraction.ratio).toBeLessThan(0.35);
		}
	});

	test("gives a plan, a reference, progress and a review", async () => {
		const person = await scene.ask("getPerson", { personId: 1 });
		expect(person).toMatchObject({ archived: false, plan: { versions: [{ version: 1 }] } });
		const reference = person.references.find(
			({ conditions, protocol }) => conditions.side === "right" && protocol.target === "quadriceps",
		)!;
		const medial = reference.regions.find(({ id }) => id === muscleRegions.vastusMedialis);
		expect(medial?.reference).toMatchObject({ state: "taken", repeatability: "repeatable" });
		const progress = await scene.ask("getProgress", { personId: 1 });
		const peaks = progress.measures.find(({ kind, side }) => kind === "peak-engagement" && side === "right")!;
		expect(peaks.points.length).toBeGreaterThan(2);
		const mornings = progress.pain.points.flatMap(({ nextMorning }) => nextMorning ?? []);
		expect(mornings.length).toBeGreaterThan(0);
		expect(mornings.every(({ verdict }) => verdict === "settled")).toBe(true);
		const { session, sets } = await newest();
		const review = await scene.ask("getSessionReview", { sessionId: session.id });
		expect(review.sets).toEqual(sets);
		expect(review.sincePrevious?.unsafe).toEqual([]);
		expect(review.quality.usableShare).toBe(1);
		const trends = await scene.ask("getSessionTrends", { sessionId: session.id, bandIndex: 0, points: 500 });
		expect(trends.seconds.at(-1)).toBeGreaterThan(session.durationSeconds - 1);
	});

	test("shows the quadriceps at work in the mean picture of a set", async () => {
		const { session, sets } = await newest();
		const wish = { sessionId: session.id, setId: sets[0]!.id };
		const picture = await scene.ask("getAveragePicture", wish);
		const geometry = await scene.ask("getGeometry", { geometryId: picture.geometryId });
		expect(picture.nodeValues).toHaveLength(geometry.nodes.length / 2);
		// Four holds of up to four seconds at ten frames a second.
		expect(picture.frames).toBeGreaterThan(60);
		expect(picture.frames).toBeLessThan(200);
		expect(picture.seconds).toBeCloseTo(picture.frames / 10, -1);
		// The invented muscles: nine tenths of full engagement in front, a tenth behind (`app/link/simulated/exercises.ts`).
		const yOf = (node: number) => geometry.nodes[2 * node + 1]!;
		const strongest = picture.nodeValues.indexOf(Math.max(...picture.nodeValues));
		expect(yOf(strongest)).toBeGreaterThan(0.02);
		const meanWhere = (isThere: (node: number) => boolean) => {
			const values = picture.nodeValues.filter((_, node) => isThere(node));
			return values.reduce((sum, value) => sum + value, 0) / values.length;
		};
		const front = meanWhere((node) => yOf(node) > 0.02);
		expect(front).toBeGreaterThan(1.5 * meanWhere((node) => yOf(node) < -0.02));
		// The model is kept for the session's next set.
		const second = await scene.ask("getAveragePicture", { ...wish, setId: sets[1]!.id });
		expect(second.geometryId).toBe(picture.geometryId);
	});

	test("names a set that is not there", async () => {
		const { session } = await newest();
		const reply = await scene.backend.request("getAveragePicture", { sessionId: session.id, setId: 9999 });
		expect(reply).toMatchObject({ ok: false, error: { kind: "no-such-record", what: "set" } });
	});

	test("a person goes out as a file, is deleted for good, and comes in again", async () => {
		const before = await scene.ask("getProgress", { personId: 1 });
		const { text, fileName } = await scene.ask("exportPerson", { personId: 1 });
		expect(fileName).toMatch(/^tautline-person-DEMO-1-/);
		const counts = await scene.ask("countPersonRecords", { personId: 1 });
		expect(await scene.ask("deletePerson", { personId: 1, code: "DEMO-1" })).toEqual(counts);
		expect(scene.backend.state().setup.person).toBeNull();
		const { personId } = await scene.ask("importPerson", { fileName, text });
		const after = await scene.ask("getProgress", { personId });
		const valuesOf = ({ measures }: typeof before) =>
			measures.map(({ points }) => points.map((p) => p.value));
		expect(valuesOf(after)).toEqual(valuesOf(before));
		const again = await scene.backend.request("importPerson", { fileName, text });
		expect(again).toMatchObject({ ok: false, error: { kind: "person-exists", isSameRecord: true } });
	});
});
