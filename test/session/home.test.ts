import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { type Fault, type Person, type RequestName, requestSchemas } from "../../app/contract.ts";
import { everyDay, planItems } from "./coached-scene.ts";
import { createFakeClock, type FakeClock } from "./fake-clock.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

let folder: string;
let clock: FakeClock;
let scene: OpenBackend;
let own: Person;
let other: Person;

function open(): OpenBackend {
	return openBackend({ dataFolder: folder, clock, source: null });
}

beforeEach(async () => {
	folder = mkdtempSync(join(tmpdir(), "tautline-home-"));
	clock = createFakeClock();
	scene = open();
	const plain = { id: null, affectedSide: "right" } as const;
	own = await scene.ask("savePerson", { ...plain, code: "P-1", displayName: "Invented" });
	other = await scene.ask("savePerson", { ...plain, code: "P-2", displayName: null });
	const { limb, band } = scene.backend.state().setup;
	await scene.ask("setUp", { personId: own.id, limb, band });
	const draft = { from: "2026-02-23", items: planItems, schedule: everyDay, reason: "" };
	await scene.ask("savePlan", { personId: own.id, draft });
});

afterEach(async () => {
	await scene.close();
	rmSync(folder, { recursive: true });
});

async function faultOf(name: RequestName, argument: unknown): Promise<Fault | null> {
	const reply = await scene.backend.request(name, argument);
	return reply.ok ? null : reply.error;
}

const enter = (pin: string | null) => scene.ask("enterHome", { personId: own.id, pin });

interface Case {
	readonly argument: unknown;
	readonly at: "open" | "locked";
}

const soap = { subjective: "", objective: "", assessment: "", plan: "" };
const limbOf = () => scene.backend.state().setup;
const picture = { prior: "diagonal", rule: "noise-figure" };
const notes = { sessionId: 1, title: "", notes: "" };
const exercise = { ...planItems[0]!.exercise, id: "own-one", origin: "own" };
const draft = { from: "2026-02-24", items: planItems, schedule: everyDay, reason: "" };

/** Every request of the contract, with arguments that pass its schema. */
function casesOf(): Record<RequestName, readonly Case[]> {
	const open = (argument: unknown): Case => ({ argument, at: "open" });
	const locked = (argument: unknown): Case => ({ argument, at: "locked" });
	const ownOnly = (argument: object): readonly Case[] => [
		open({ personId: own.id, ...argument }),
		locked({ personId: other.id, ...argument }),
	];
	const measured = { limb: limbOf().limb, band: limbOf().band };
	const order = { planVersion: 1, itemIndex: 0, painBefore: null };
	return {
		getState: [open(null)],
		acknowledgeCautions: [locked({ version: 1 })],
		listPorts: [open(null)],
		connect: [open({ kind: "serial", portId: "none", baudRate: 115_200 })],
		disconnect: [open(null)],
		listProfiles: [locked(null)],
		saveProfile: [locked({ profile: {} })],
		deleteProfile: [locked({ profile: "Mine" })],
		captureLines: [locked({ portId: "none", baudRate: 115_200, seconds: 1 })],
		playLog: [locked({ fileName: "log.txt", text: "", profile: "Mine", framesPerSecond: 20 })],
		sendCommand: [
			open({ command: "start" }),
			open({ command: "stop" }),
			open({ command: "contact-check" }),
			locked({ command: "set-current", milliamp: 1 }),
			locked({ command: "set-frequency", hertz: 50_000 }),
			locked({ command: "set-gain", gain: 2 }),
		],
		startCheck: [open({ from: "contact" })],
		passOverCheck: [locked(null)],
		stopCheck: [open(null)],
		rangeAgain: [locked(null)],
		setCurrentLimit: [locked({ milliamp: 0.5 })],
		takeBaseline: [open({ seconds: 2 })],
		setPrior: [locked(picture)],
		setRestFollowing: [locked({ isOn: false })],
		studyBand: [locked({ ...measured, towards: "front" })],
		studyFat: [locked(measured)],
		getStrength: [locked(null)],
		tryStrength: [locked({ lambda: 0.1, frame: "newest" })],
		selectBand: [open({ bandIndex: 0 })],
		listPeople: [locked(null), locked({ includeArchived: true })],
		savePerson: [locked({ id: own.id, code: "P-9", displayName: null, affectedSide: "left" })],
		getPerson: ownOnly({}),
		savePersonDetails: [locked({ personId: own.id, goals: "", archived: true })],
		acknowledgeForPerson: [locked({ personId: own.id, version: 1 })],
		countPersonRecords: [locked({ personId: own.id })],
		deletePerson: [locked({ personId: own.id, code: "P-1" })],
		exportPerson: [locked({ personId: own.id })],
		importPerson: [locked({ fileName: "a.json", text: "{}" })],
		listExercises: [open(null)],
		saveExercise: [locked({ exercise })],
		savePlan: [locked({ personId: own.id, draft })],
		endPlan: [locked({ personId: own.id, endedOn: "2026-03-01" })],
		listSets: [locked({ sessionId: 1 })],
		correctSet: [
			locked({ setId: 1, correction: { count: { full: 1, partial: 0 }, by: "patient", reason: "" } }),
		],
		saveSoap: [locked({ sessionId: 1, ...soap })],
		getSessionReview: [locked({ sessionId: 1 })],
		getSessionTrends: [locked({ sessionId: 1, bandIndex: 0, points: 100 })],
		getProgress: ownOnly({}),
		getAveragePicture: [locked({ sessionId: 1, setId: 1 })],
		setUp: [locked({ personId: own.id, limb: limbOf().limb, band: limbOf().band })],
		startRecording: [locked({ title: "" })],
		stopRecording: [locked(null)],
		listSessions: [locked({ personId: own.id, offset: 0, limit: 10 })],
		saveSessionNotes: [locked(notes)],
		exportSession: [locked({ sessionId: 1, format: "csv" })],
		readExport: [locked({ exportId: 1 })],
		importRecording: [locked({ fileName: "a.json", text: "{}" })],
		openReplay: [locked({ sessionId: 1 })],
		controlReplay: [locked({ playing: true, speed: null, seekSeconds: null })],
		closeReplay: [locked(null)],
		getReplayTrends: [locked({ points: 100 })],
		getGeometry: [open({ geometryId: 1 })],
		getLiveTrends: [open({ seconds: 10 })],
		startVolume: [locked(null)],
		stopVolume: [locked(null)],
		getVolumeGeometry: [locked({ geometryId: 1 })],
		getVolumeTrends: [locked({ seconds: 10 })],
		wearBand: ownOnly({ side: "right" }),
		startReference: [
			locked({ target: "quadriceps", effort: "comfortable", contractions: 1, pauseSeconds: 6 }),
		],
		stopReference: [open(null)],
		tellPain: ownOnly({ now: 2, nextMorning: null }),
		startExercise: ownOnly(order),
		controlExercise: [open({ action: "pause" })],
		answerSet: [open({ pain: 0, effort: 1, symptoms: [] })],
		answerLeftSet: ownOnly({ setId: 1, pain: 0, effort: 1, symptoms: [] }),
		leaveExercise: [open(null)],
		getToday: ownOnly({ day: "2026-03-01" }),
		enterHome: [locked({ personId: own.id, pin: null })],
		leaveHome: [open({ pin: "0000" })],
		openDemo: [locked({ anew: false }), locked({ anew: true })],
		cancelDemo: [locked(null)],
		closeDemo: [locked(null)],
	};
}

describe("at home", () => {
	test("every request is either what a person needs for the plan, or locked", async () => {
		await enter("4711");
		const cases = casesOf();
		expect(new Set(Object.keys(cases))).toEqual(new Set(Object.keys(requestSchemas)));
		for (const [name, ofRequest] of Object.entries(cases) as [RequestName, readonly Case[]][]) {
			for (const { argument, at } of ofRequest) {
				const fault = await faultOf(name, argument);
				const label = `${name} ${JSON.stringify(argument)} ${JSON.stringify(fault)}`;
				// a request that fails its schema would say nothing about the lock
				expect(requestSchemas[name].safeParse(argument).success, label).toBe(true);
				if (at === "locked") expect(fault, label).toEqual({ kind: "locked" });
				else expect(fault?.kind, label).not.toBe("locked");
			}
		}
		// nothing of it got through
		expect(scene.backend.state().home).toEqual({ personId: own.id, displayName: "Invented", needsPin: true });
		await scene.ask("leaveHome", { pin: "4711" });
		const people = await scene.ask("listPeople", null);
		expect(people.map(({ code, archived }) => [code, archived])).toEqual([
			["P-1", false],
			["P-2", false],
		]);
	});

	test("the set-up becomes the person's, with the thigh that was measured last", async () => {
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: other.id, limb: { ...limb, fatThickness: 0.011 }, band });
		await enter(null);
		expect(scene.backend.state().setup).toMatchObject({ person: { id: own.id }, limb });
		await scene.ask("leaveHome", { pin: null });
		const third = { id: null, code: "P-3", displayName: null, affectedSide: "none" } as const;
		const unmeasured = await scene.ask("savePerson", third);
		expect(await faultOf("enterHome", { personId: unmeasured.id, pin: null })).toEqual({
			kind: "limb-not-measured",
			personId: unmeasured.id,
			side: null,
		});
		expect(scene.backend.state().home).toBeNull();
	});

	test("nothing begins with pain that would end it, nor of a plan that does not hold today", async () => {
		await scene.ask("savePlan", { personId: own.id, draft: { ...draft, from: "2026-03-01" } });
		await scene.ask("savePlan", { personId: own.id, draft: { ...draft, from: "2026-03-02" } });
		await enter(null);
		const begin = (planVersion: number, painBefore: number | null) =>
			faultOf("startExercise", { personId: own.id, planVersion, itemIndex: 0, painBefore });
		expect(await begin(2, 6)).toEqual({ kind: "exercise-over", action: "stop-session" });
		const notToday = (id: number) => ({ kind: "no-such-record", what: "plan", id });
		expect(await begin(1, 1)).toEqual(notToday(1));
		expect(await begin(3, 1)).toEqual(notToday(3));
		// all else is asked for later
		expect(await begin(2, 5)).toEqual({ kind: "cautions-not-acknowledged" });
		await scene.ask("leaveHome", { pin: null });
		await scene.ask("endPlan", { personId: own.id, endedOn: "2026-03-01" });
		await enter(null);
		expect(await begin(2, 1)).toEqual(notToday(2));
	});

	test("is one person's also when two pages ask at the same time", async () => {
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: other.id, limb, band });
		const [first, second, worn] = await Promise.all([
			scene.backend.request("enterHome", { personId: own.id, pin: "4711" }),
			scene.backend.request("enterHome", { personId: other.id, pin: "1234" }),
			scene.backend.request("wearBand", { personId: other.id, side: limb.side }),
		]);
		expect([first.ok, second.ok].filter((ok) => ok)).toHaveLength(1);
		expect([first, second]).toContainEqual({ ok: false, error: { kind: "locked" } });
		expect(worn.ok).toBe(true);
		const { home, setup } = scene.backend.state();
		expect(setup.person?.id).toBe(home?.personId);
		await scene.ask("leaveHome", { pin: first.ok ? "4711" : "1234" });
	});

	test("lasts over a restart", async () => {
		await enter("4711");
		await scene.backend.dispose();
		scene = open();
		expect(scene.backend.state().home).toEqual({ personId: own.id, displayName: "Invented", needsPin: true });
		expect(await faultOf("listPeople", null)).toEqual({ kind: "locked" });
		await scene.ask("leaveHome", { pin: "4711" });
		await scene.backend.dispose();
		scene = open();
		expect(scene.backend.state().home).toBeNull();
	});
});

describe("the PIN", () => {
	test("is asked for, kept for the next time, and nowhere to be read", async () => {
		await enter("47114711");
		expect(await faultOf("leaveHome", { pin: null })).toEqual({ kind: "wrong-pin", waitSeconds: 0 });
		expect(await faultOf("leaveHome", { pin: "47114712" })).toEqual({ kind: "wrong-pin", waitSeconds: 0 });
		await scene.ask("leaveHome", { pin: "47114711" });
		await enter(null);
		expect(await faultOf("leaveHome", { pin: null })).toMatchObject({ kind: "wrong-pin" });
		await scene.ask("leaveHome", { pin: "47114711" });
		await scene.backend.dispose();
		expect(readFileSync(join(folder, "tautline.sqlite")).includes("47114711")).toBe(false);
	});

	test("makes whoever guesses wait from the fifth wrong one on", async () => {
		await enter("4711");
		for (let i = 0; i < 4; i++) {
			expect(await faultOf("leaveHome", { pin: "0000" })).toMatchObject({ waitSeconds: 0 });
		}
		expect(await faultOf("leaveHome", { pin: "0000" })).toEqual({ kind: "wrong-pin", waitSeconds: 30 });
		expect(await faultOf("leaveHome", { pin: "4711" })).toEqual({ kind: "wrong-pin", waitSeconds: 30 });
		clock.turn(30_000);
		await scene.ask("leaveHome", { pin: "4711" });
	});

	test("makes wait after a restart as before it", async () => {
		await enter("4711");
		for (let i = 0; i < 5; i++) await faultOf("leaveHome", { pin: "0000" });
		await scene.backend.dispose();
		clock.turn(10_000);
		scene = open();
		expect(await faultOf("leaveHome", { pin: "4711" })).toEqual({ kind: "wrong-pin", waitSeconds: 20 });
		clock.turn(20_000);
		// the next wrong one is followed by a wait at once
		expect(await faultOf("leaveHome", { pin: "0000" })).toEqual({ kind: "wrong-pin", waitSeconds: 30 });
		// a clock that was set back locks nobody out
		clock.turn(-3_600_000);
		await scene.ask("leaveHome", { pin: "4711" });
		expect(scene.backend.state().home).toBeNull();
	});

	test("that is forgotten is got rid of by a file in the data folder, and nothing else is lost", async () => {
		await enter("4711");
		await scene.backend.dispose();
		writeFileSync(join(folder, "unlock-home.txt"), "");
		scene = open();
		expect(scene.backend.state().home).toBeNull();
		const { plan, person } = await scene.ask("getPerson", { personId: own.id });
		expect(person.code).toBe("P-1");
		expect(plan?.versions).toHaveLength(1);
		expect(scene.backend.state().setup.person?.id).toBe(own.id);
		await enter(null);
		expect(scene.backend.state().home?.needsPin).toBe(false);
		await scene.ask("leaveHome", { pin: null });
		// the file did its work once
		await enter("1234");
		await scene.backend.dispose();
		scene = open();
		expect(scene.backend.state().home).toMatchObject({ needsPin: true });
	});
});
