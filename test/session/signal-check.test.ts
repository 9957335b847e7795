/** The signal check from a link to a rest baseline, over the whole backend with a board in memory. */
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { aimedShare } from "../../core/signal/ranging.ts";
import type { CheckFinding, CheckStepId } from "../../core/signal/signal-check.ts";
import { createFakeClock, type FakeClock } from "./fake-clock.ts";
import { createObedientBoard, type ObedientBoard } from "./obedient-board.ts";
import { type OpenBackend, openBackend, untilState } from "./open-backend.ts";

let clock: FakeClock;
let scene: OpenBackend;
let board: ObedientBoard;

beforeEach(async () => {
	clock = createFakeClock();
	scene = openBackend({ clock });
	await untilState(scene, ({ link }) => link.state === "waiting-for-board");
	board = createObedientBoard(scene.source, clock);
});

afterEach(() => scene.close());

const state = (): AppState => {
	clock.turn(150);
	return scene.backend.state();
};
const check = () => state().check;
const statuses = () => check().run?.steps.map(({ status }) => status);
const isOver = (): boolean => scene.backend.state().check.run?.isRunning === false;

function found<S extends CheckStepId>(step: S): Extract<CheckFinding, { step: S }> {
	const finding = check().run?.steps.find(({ id }) => id === step)?.finding;
	if (finding?.step !== step) throw new Error(`nothing found at ${step}`);
	return finding as Extract<CheckFinding, { step: S }>;
}

async function runCheck(): Promise<void> {
	await scene.ask("startCheck", { from: null });
	await board.playUntil(isOver);
}

describe("the check", () => {
	test("leads to a good rest, is kept with the session, and is due again with the next day or limb", async () => {
		scene.source.ability({});
		board.announce({ gain: 1 });
		await board.play(0.5);
		expect(check()).toMatchObject({ isDue: true, run: null, last: null });
		const began = clock.now();
		await runCheck();
		expect(clock.now() - began).toBeLessThan(20_000);
		expect(statuses()).toEqual(["good", "good", "good", "good", "good", "good"]);
		expect(check()).toMatchObject({ isDue: false, run: { mayPassOver: false } });
		expect(found("drive").bands[0]).toMatchObject({ takesCommands: true, outcome: { verdict: "good" } });
		// Ohm's law with what was chosen.
		const share = (board.currentMilliamp / 1000) * board.load * board.gain;
		expect(board.currentMilliamp).toBe(1);
		expect(share).toBeGreaterThan(aimedShare.least);
		expect(share).toBeLessThan(aimedShare.most);
		expect(state().baseline).toMatchObject({ automatic: false, seconds: 5 });
		// 2e-4 times a sine is 77 dB below; successive differences of a pseudo-random sine estimate its deviation.
		expect(found("noise").bands[0]!.signalToNoiseDecibel).toBeCloseTo(77, -1);

		const { sessionId } = await scene.ask("startRecording", { title: "" });
		await board.play(0.5);
		expect(await scene.backend.request("startCheck", { from: null })).toMatchObject({
			error: { kind: "already-recording" },
		});
		await scene.ask("stopRecording", null);
		const review = await scene.ask("getSessionReview", { sessionId });
		expect(review.measured.check).toEqual(check().last);
		expect(review.marks.map(({ label }) => label)).not.toContain("Signal check");

		const { limb, band } = state().setup;
		await scene.ask("setUp", {
			personId: null,
			limb: { ...limb, side: limb.side === "left" ? "right" : "left" },
			band,
		});
		expect(check().isDue).toBe(true);
		await scene.ask("setUp", { personId: null, limb, band });
		expect(check().isDue).toBe(false);
		clock.set(24 * 3_600_000);
		await board.play(0.2);
		expect(check().isDue).toBe(true);
	});

	test("stops at an electrode that is off, and goes on by itself once it is pressed on", async () => {
		scene.source.ability({});
		board.contacts![6] = Number.NaN;
		board.announce();
		await runCheck();
		expect(statuses()).toEqual(["good", "good", "stopped", "waiting", "waiting", "waiting"]);
		expect(found("contact").bands[0]!.verdicts[6]).toBe("off");
		expect(check().run?.mayPassOver).toBe(true);
		board.contacts![6] = 1500;
		await board.playUntil(() => scene.backend.state().check.last !== null);
		expect(statuses()).toEqual(["good", "good", "advice", "good", "good", "good"]);
	});

	test("lets go on without one electrode, and says so; not without five", async () => {
		scene.source.ability({});
		board.contacts!.fill(Number.NaN, 0, 5);
		board.announce();
		await runCheck();
		expect(check().run?.mayPassOver).toBe(false);
		expect((await scene.backend.request("passOverCheck", null)).ok).toBe(false);
		board.contacts!.fill(300, 1, 5);
		await board.play(2.5);
		await scene.ask("passOverCheck", null);
		await board.playUntil(isOver);
		expect(statuses()).toEqual(["good", "good", "passed-over", "good", "good", "good"]);
	});

	test("stops where the band is another than the one that was set up", async () => {
		const { limb, band } = state().setup;
		await scene.ask("setUp", { personId: null, limb, band: { ...band, electrodeCount: 8, positions: null } });
		board.announce();
		await runCheck();
		expect(statuses()?.slice(0, 3)).toEqual(["good", "stopped", "waiting"]);
		expect(found("band")).toMatchObject({ electrodeCounts: [16], expectedElectrodes: 8 });
	});

	test("takes a board that takes no commands as it is", async () => {
		scene.source.obey = ({ command }) => ({ ok: false, error: { kind: "takes-no-commands", command } });
		board.announce({ gain: 20 });
		await runCheck();
		expect(statuses()).toEqual(["good", "good", "advice", "good", "good", "good"]);
		expect(found("contact").bands).toEqual([]);
		expect(found("drive").bands[0]).toMatchObject({
			takesCommands: false,
			outcome: { gain: 20, verdict: "good", reasons: ["takes-no-commands"] },
		});
		expect(scene.source.sent.map(({ command }) => command)).toEqual(["contact-check"]);
	});

	test("tries for a rest three times, then says that somebody moved; the rest alone can be done again", async () => {
		board.announce({ gain: 20 });
		await scene.ask("startCheck", { from: null });
		for (let i = 0; i < 60 && !isOver(); i++) {
			board.moves = i % 4 < 2 ? 0 : 0.05;
			await board.play(0.7);
		}
		expect(statuses()?.at(-1)).toBe("stopped");
		expect(found("rest")).toMatchObject({ outcome: "moved" });
		expect(found("rest").driftPercent).toBeGreaterThan(3);
		expect(check()).toMatchObject({ last: null, isDue: true });
		board.moves = 0;
		await scene.ask("startCheck", { from: "rest" });
		await board.playUntil(isOver);
		expect(statuses()?.at(-1)).toBe("good");
		expect(check().last).not.toBeNull();
	});

	test("begins again by itself after the link broke in the middle", async () => {
		board.announce({ gain: 20 });
		await scene.ask("startCheck", { from: null });
		await board.play(1);
		scene.source.tell({
			state: "reconnecting",
			label: "memory",
			attempt: 1,
			fault: { kind: "not-connected" },
		});
		expect(statuses()).toEqual(["stopped", "waiting", "waiting", "waiting", "waiting", "waiting"]);
		board.announce();
		await board.playUntil(isOver);
		expect(statuses()?.includes("stopped")).toBe(false);
	});

	test("begins with nobody to whom the cautions have not been told, where current flows", async () => {
		await scene.ask("acknowledgeCautions", { version: state().cautions.version });
		const person = { id: null, code: "P-1", displayName: null, affectedSide: "left" } as const;
		const { id } = await scene.ask("savePerson", person);
		const { limb, band } = state().setup;
		await scene.ask("setUp", { personId: id, limb, band });
		board.announce({ simulated: false });
		expect(await scene.backend.request("startCheck", { from: null })).toMatchObject({
			error: { kind: "cautions-not-acknowledged" },
		});
		expect(await scene.backend.request("startRecording", { title: "" })).toMatchObject({
			error: { kind: "cautions-not-acknowledged" },
		});
		await scene.ask("acknowledgeForPerson", { personId: id, version: state().cautions.version });
		await scene.ask("startCheck", { from: null });
	});
});

describe("clipping", () => {
	test("sets the gain anew by itself, and takes another rest", async () => {
		scene.source.ability({});
		board.announce({ gain: 40 });
		await board.play(2.5);
		expect(state().baseline).not.toBeNull();
		board.load = 40;
		await board.playUntil(() => scene.backend.state().check.ranging.last !== null);
		expect(check().ranging.last).toMatchObject({
			cause: "clipping",
			bands: [{ outcome: { verdict: "good" } }],
		});
		expect((board.currentMilliamp / 1000) * board.load * board.gain).toBeLessThan(aimedShare.most);
		expect(state().baseline).toBeNull();
		await board.play(2.5);
		expect(state().baseline).toMatchObject({ automatic: true });
	});

	test("in the middle of a recording only proposes to", async () => {
		scene.source.ability({});
		board.announce({ gain: 40 });
		await board.play(2);
		await scene.ask("startRecording", { title: "" });
		board.load = 40;
		await board.play(3);
		expect(scene.source.sent).toEqual([]);
		expect(check().ranging).toMatchObject({ proposal: "clipping", last: null });
		const asked = scene.ask("rangeAgain", null);
		await board.playUntil(() => scene.backend.state().check.ranging.last !== null);
		await asked;
		expect(check().ranging).toMatchObject({ proposal: null, last: { cause: "asked" } });
		expect(state().recording).not.toBeNull();
		await scene.ask("stopRecording", null);
	});

	test("of an electrode that is off the skin is not the gain's fault", async () => {
		scene.source.ability({});
		board.contacts!.fill(Number.NaN);
		board.announce({ gain: 40 });
		scene.source.contacts(0, board.contacts!);
		board.load = 40;
		await board.play(3);
		expect(check().ranging).toMatchObject({ proposal: null, last: null, isRunning: false });
	});
});

describe("a limit that was lowered", () => {
	test("is told to the board, holds from one start to the next, and is never above the usual one", async () => {
		scene.source.ability({});
		board.announce();
		expect(state().currentLimit).toEqual({ milliamp: 1, isLowered: false });
		await scene.ask("setCurrentLimit", { milliamp: 0.4 });
		expect(board.currentMilliamp).toBeLessThanOrEqual(0.4);
		// With less current another gain fits.
		await board.playUntil(() => scene.backend.state().check.ranging.last !== null);
		expect(check().ranging.last?.cause).toBe("limit-changed");
		expect(board.currentMilliamp).toBe(0.4);
		expect(state()).toMatchObject({
			currentLimit: { milliamp: 0.4, isLowered: true },
			board: { currentLimitMilliamp: 0.4 },
			link: { state: "streaming" },
		});
		expect(
			await scene.backend.request("sendCommand", { command: "set-current", milliamp: 0.5 }),
		).toMatchObject({
			error: { kind: "over-current-limit", limitMilliamp: 0.4 },
		});
		expect((await scene.backend.request("setCurrentLimit", { milliamp: 1.01 })).ok).toBe(false);
		const { backend, folder } = scene;
		await backend.dispose();
		scene = openBackend({ clock, dataFolder: folder });
		expect(scene.backend.state().currentLimit).toEqual({ milliamp: 0.4, isLowered: true });
		await scene.ask("setCurrentLimit", { milliamp: null });
		expect(scene.backend.state().currentLimit).toEqual({ milliamp: 1, isLowered: false });
	});

	test("stops a board that does not keep it, and the recording goes on without its frames", async () => {
		board.announce();
		await board.play(1);
		const { sessionId } = await scene.ask("startRecording", { title: "" });
		board.refuses = ["set-current"];
		await scene.ask("setCurrentLimit", { milliamp: 0.4 });
		expect(state().link).toMatchObject({
			state: "failed",
			fault: { kind: "over-current-limit", reportedMilliamp: 1, limitMilliamp: 0.4 },
		});
		expect(scene.source.isDisposed).toBe(true);
		const { frames } = state().recording!;
		await board.play(0.5);
		expect(state().recording?.frames).toBe(frames);
		await scene.ask("stopRecording", null);
		const { session } = await scene.ask("getSessionReview", { sessionId });
		expect(session.closedCleanly).toBe(true);
	});
});
