/** Own records, the demo clinic in their place, and back: with real stores, and a demo of one person and few days. */
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import type { AppState, Fault, Replies, RequestArgument, RequestName } from "../../app/contract.ts";
import type { Backend } from "../../app/session/backend.ts";
import { makeDemoFile } from "../../app/session/demo/demo-file.ts";
import { demoPeople } from "../../app/session/demo/demo-people.ts";
import { whyInUse } from "../../app/session/records-switch.ts";
import { createSwitchingBackend, DEMO_FOLDER } from "../../app/session/switching-backend.ts";
import { createMemorySource, type MemorySource } from "./memory-source.ts";

const demoSize = { people: demoPeople.filter(({ story }) => story === "new"), days: 1 };
let folder: string;
let source: MemorySource;
let backend: Backend;
let states: AppState[];

function open(): void {
	source = createMemorySource(Date.now);
	backend = createSwitchingBackend({ dataFolder: folder, source: source.factory, demoSize });
	states = [];
	backend.onState((state) => states.push(state));
}

beforeEach(async () => {
	folder = mkdtempSync(join(tmpdir(), "tautline-switch-"));
	open();
	await ask("savePerson", { id: null, code: "OWN-1", displayName: null, affectedSide: "left" });
});

afterEach(async () => {
	await backend.dispose();
	rmSync(folder, { recursive: true });
});

async function ask<K extends RequestName>(name: K, argument: RequestArgument<K>): Promise<Replies[K]> {
	const reply = await backend.request(name, argument);
	if (!reply.ok) throw new Error(`${name}: ${JSON.stringify(reply.error)}`);
	return reply.value;
}

async function faultOf(name: RequestName, argument: unknown, records?: number): Promise<Fault | null> {
	const reply = await backend.request(name, argument, undefined, records);
	return reply.ok ? null : reply.error;
}

function until(isThere: (state: AppState) => boolean): Promise<AppState> {
	const state = backend.state();
	if (isThere(state)) return Promise.resolve(state);
	return new Promise((resolve) => {
		const stop = backend.onState((next) => {
			if (!isThere(next)) return;
			stop();
			resolve(next);
		});
	});
}

async function codes(): Promise<readonly string[]> {
	return (await ask("listPeople", null)).map(({ code }) => code);
}

const demoFile = () => join(folder, DEMO_FOLDER, "tautline.sqlite");

describe("without a demo", () => {
	test("one is made beside the records, told of as it goes, and opened", async () => {
		expect(backend.state()).toMatchObject({
			records: { number: 1, isDemo: false, hasOwnBehind: false },
			demo: { isMade: false, making: null, fault: null },
		});
		await ask("openDemo", { anew: false });
		expect(backend.state().demo?.making).toMatchObject({ share: expect.any(Number) });
		// what is asked meanwhile is asked of the own records
		expect(await codes()).toEqual(["OWN-1"]);
		const state = await until(({ records }) => records.isDemo);
		expect(state).toMatchObject({
			records: { number: 2, hasOwnBehind: true },
			demo: { isMade: true, making: null, fault: null },
			dataFolder: join(folder, DEMO_FOLDER),
		});
		expect(await codes()).toEqual(["DEMO-5"]);
		const told = states.flatMap(({ demo }) => demo?.making ?? []).map(({ share }) => share);
		expect(told.length).toBeGreaterThan(0);
		expect(readdirSync(join(folder, DEMO_FOLDER)).filter((name) => /part|fresh/.test(name))).toEqual([]);
	});

	test("making one can be given up and leaves nothing", async () => {
		await ask("openDemo", { anew: false });
		await until((state) => (state.demo?.making?.who ?? "") !== "");
		await ask("cancelDemo", null);
		const { records, demo } = await until((state) => state.demo?.making === null);
		expect(records.isDemo).toBe(false);
		expect(demo).toEqual({ isMade: false, making: null, fault: null });
		expect(readdirSync(join(folder, DEMO_FOLDER))).toEqual([]);
	});

	test("a recording that began meanwhile keeps the own records open, and the demo waits", async () => {
		source.announce();
		await ask("openDemo", { anew: false });
		await ask("startRecording", { title: "" });
		const { records, demo } = await until((state) => state.demo?.making === null);
		expect(records.isDemo).toBe(false);
		expect(demo).toEqual({ isMade: true, making: null, fault: { kind: "records-in-use", by: "recording" } });
		await ask("stopRecording", null);
		await ask("openDemo", { anew: false });
		expect(backend.state()).toMatchObject({ records: { isDemo: true }, demo: { fault: null } });
	});

	test("the app can end while one is made", async () => {
		await ask("openDemo", { anew: false });
		await backend.dispose();
		expect(existsSync(demoFile())).toBe(false);
	});
});

describe("with a demo", () => {
	const kept = mkdtempSync(join(tmpdir(), "tautline-demo-"));

	beforeAll(async () => {
		const path = join(kept, "tautline.sqlite");
		const made = await makeDemoFile(path, Date.now(), () => undefined, demoSize);
		if (!made.ok) throw new Error(JSON.stringify(made.error));
	});
	beforeEach(() => cpSync(kept, join(folder, DEMO_FOLDER), { recursive: true }));
	afterAll(() => rmSync(kept, { recursive: true }));

	test("own records are closed unchanged, wait, and come back; a start begins on them", async () => {
		await ask("openDemo", { anew: false });
		const before = readFileSync(join(folder, "tautline.sqlite"));
		expect(existsSync(join(folder, "tautline.sqlite-wal"))).toBe(false);
		await ask("savePerson", { id: null, code: "IN-DEMO", displayName: null, affectedSide: "left" });
		expect(await codes()).toEqual(["DEMO-5", "IN-DEMO"]);
		expect(readFileSync(join(folder, "tautline.sqlite"))).toEqual(before);
		await ask("closeDemo", null);
		expect(backend.state().records).toEqual({ number: 3, isDemo: false, hasOwnBehind: false });
		expect(await codes()).toEqual(["OWN-1"]);
		await ask("openDemo", { anew: false });
		await backend.dispose();
		open();
		expect(backend.state().records.isDemo).toBe(false);
		expect(await codes()).toEqual(["OWN-1"]);
	});

	test("pages are told at once, and what they ask about the records before is refused", async () => {
		await ask("openDemo", { anew: false });
		expect(states.at(-1)?.records).toMatchObject({ number: 2, isDemo: true });
		const change = { personId: 1, goals: "Meant for somebody else", archived: true };
		expect(await faultOf("savePersonDetails", change, 1)).toEqual({ kind: "records-changed" });
		expect(await faultOf("savePersonDetails", change, 2)).toBeNull();
	});

	test("what waits for an answer is called off", async () => {
		source.announce();
		const rest = backend.request("takeBaseline", { seconds: 30 });
		await ask("openDemo", { anew: false });
		expect(await rest).toEqual({ ok: false, error: { kind: "cancelled" } });
	});

	test("made anew it loses what was done in it, and not before the new one is whole", async () => {
		await ask("openDemo", { anew: false });
		await ask("savePerson", { id: null, code: "IN-DEMO", displayName: null, affectedSide: "left" });
		await ask("openDemo", { anew: true });
		await ask("cancelDemo", null);
		await until(({ demo }) => demo?.making === null);
		expect(await codes()).toEqual(["DEMO-5", "IN-DEMO"]);
		await ask("openDemo", { anew: true });
		await until(({ records }) => records.number === 3);
		expect(await codes()).toEqual(["DEMO-5"]);
		expect(backend.state().records).toMatchObject({ isDemo: true, hasOwnBehind: true });
	});

	test("is refused while a recording runs or home mode is on, there and back", async () => {
		source.announce();
		await ask("startRecording", { title: "" });
		expect(await faultOf("openDemo", { anew: false })).toEqual({ kind: "records-in-use", by: "recording" });
		await ask("stopRecording", null);
		await ask("openDemo", { anew: false });
		await ask("enterHome", { personId: 1, pin: null });
		expect(await faultOf("closeDemo", null)).toEqual({ kind: "locked" });
		await ask("leaveHome", { pin: null });
		await ask("closeDemo", null);
		await ask("setUp", { personId: 1, ...limbAndBand() });
		await ask("enterHome", { personId: 1, pin: null });
		expect(await faultOf("openDemo", { anew: true })).toEqual({ kind: "locked" });
	});

	test("is refused while a file is written", async () => {
		const file = backend.request("exportPerson", { personId: 1 });
		expect(await faultOf("openDemo", { anew: false })).toEqual({ kind: "records-in-use", by: "file" });
		expect((await file).ok).toBe(true);
	});

	test("takes no real band", async () => {
		await ask("openDemo", { anew: false });
		const serial = { kind: "serial", portId: "any", baudRate: 115_200 };
		expect(await faultOf("connect", serial)).toEqual({ kind: "demo-records" });
	});

	test("opened as an app's own records it says what it is and offers no other", async () => {
		await backend.dispose();
		rmSync(join(folder, "tautline.sqlite"));
		const ownDemo = createSwitchingBackend({ dataFolder: join(folder, DEMO_FOLDER), source: null });
		expect(ownDemo.state()).toMatchObject({ records: { isDemo: true, hasOwnBehind: false }, demo: null });
		await ownDemo.dispose();
	});
});

test.each([
	[{ exercise: {} }, { kind: "records-in-use", by: "exercise" }],
	[
		{ exercise: {}, recording: {} },
		{ kind: "records-in-use", by: "exercise" },
	],
	[{ recording: {} }, { kind: "records-in-use", by: "recording" }],
	[{ recording: {}, home: {} }, { kind: "locked" }],
	[{}, null],
])("with %j open, other records are kept out by %j", (part, fault) => {
	expect(whyInUse({ home: null, recording: null, exercise: null, ...part } as AppState)).toEqual(fault);
});

function limbAndBand(): Pick<RequestArgument<"setUp">, "limb" | "band"> {
	const { limb, band } = backend.state().setup;
	return { limb, band };
}
