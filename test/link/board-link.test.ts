import { describe, expect, test } from "vitest";
import { BoardLink, type BoardLinkOptions } from "../../app/link/board-link.ts";
import type { BoardCommand } from "../../app/link/frame-source.ts";
import type { BandAbility } from "../../core/wire/frame.ts";
import { FakeClock, settle } from "./fake-clock.ts";
import { LinkLog } from "./link-log.ts";
import { PaperBoard } from "./paper-board.ts";

const settable: BandAbility = {
	bandIndex: 0,
	electrodeCount: 8,
	minimumMilliamp: 0.1,
	maximumMilliamp: 2,
	minimumHertz: 10_000,
	maximumHertz: 100_000,
	minimumGain: 1,
	maximumGain: 100,
};

function createLink(options: Partial<BoardLinkOptions> = {}) {
	const clock = new FakeClock();
	const board = new PaperBoard();
	const log = new LinkLog();
	const link = new BoardLink({ transport: board.transport, clock, ...options }, log);
	return { clock, board, log, link };
}

async function createStreaming(options: Partial<BoardLinkOptions> = {}) {
	const created = createLink(options);
	await created.link.open();
	await settle();
	expect(created.log.last().state).toBe("streaming");
	return created;
}

/** The board goes on as a running one: a frame every 100 ms, a status every second. */
async function stream(
	board: PaperBoard,
	clock: FakeClock,
	seconds: number,
	fromMicros: number,
): Promise<void> {
	for (let i = 0; i < seconds * 10; i++) {
		if (board.activity === "running") board.frame(fromMicros + i * 100_000);
		if (i % 10 === 0) board.status(fromMicros + i * 100_000);
		await clock.pass(100);
	}
}

describe("connecting", () => {
	test("greets the board, starts it, and passes its frames on", async () => {
		const { board, log, clock } = await createStreaming();
		board.frame(5000);
		board.frame(105_000);
		await settle();
		expect(log.names()).toEqual(["opening", "waiting-for-board", "streaming"]);
		expect(board.commands()).toEqual(["hello", "start"]);
		expect(log.boards.map(({ board: name }) => name)).toEqual(["paper"]);
		expect(log.configurations).toEqual([board.configuration]);
		expect(log.frames).toEqual([
			{ bandIndex: 0, sequence: 0, timeMicros: 5000, receivedAt: clock.now(), lostBefore: 0, first: 0 },
			{ bandIndex: 0, sequence: 1, timeMicros: 105_000, receivedAt: clock.now(), lostBefore: 0, first: 1 },
		]);
	});

	test("leaves the board stopped when told to", async () => {
		const { link, board, log } = createLink({ startByItself: false });
		await link.open();
		await settle();
		expect(log.last().state).toBe("stopped");
		expect(board.commands()).toEqual(["hello"]);
	});

	test("says a command again, with the same id, when it was lost", async () => {
		const { link, board, log, clock } = createLink();
		board.deafFor = 2;
		await link.open();
		await clock.pass(2100);
		expect(log.last().state).toBe("streaming");
		expect(board.heard[0]).toMatchObject({ id: 1, command: { command: "hello" } });
	});

	test("asks again when a part of the announcement was lost", async () => {
		const { link, board, log, clock } = createLink();
		board.forgets = "C";
		await link.open();
		await settle();
		expect(log.last()).toMatchObject({ state: "failed", fault: { kind: "board-silent", command: "hello" } });
		expect(board.commands()).not.toContain("start");
		expect(clock.pending).toBe(0);
	});

	test("a port that cannot be opened is told as it is, once", async () => {
		const { link, board, log, clock } = createLink();
		board.openingFaults.push({ kind: "port-busy", path: "paper" });
		await link.open();
		await clock.pass(60_000);
		expect(log.states).toEqual([
			{ state: "opening", label: "paper" },
			{ state: "failed", label: "paper", fault: { kind: "port-busy", path: "paper" } },
		]);
	});

	test("a port on which nothing ever arrives fails with no data", async () => {
		const { link, board, log, clock } = createLink();
		board.isMute = true;
		await link.open();
		await clock.pass(20_000);
		expect(log.last()).toMatchObject({ state: "failed", fault: { kind: "no-data", path: "paper" } });
		expect(board.closed).toBe(1);
	});

	test("a device that sends garbage is recognised as none of ours", async () => {
		const { link, board, log, clock } = createLink();
		board.isMute = true;
		await link.open();
		for (let i = 0; i < 50; i++) {
			board.say(Uint8Array.from({ length: 100 }, (_, k) => (i * 31 + k * 17) % 256));
			await clock.pass(100);
		}
		expect(log.last()).toMatchObject({
			state: "failed",
			fault: { kind: "wrong-speed", path: "paper", likelyBaudRate: null },
		});
		expect(board.closed).toBe(1);
	});

	test("a device that talks another language in lines is recognised sooner", async () => {
		const { link, board, log, clock } = createLink();
		board.isMute = true;
		await link.open();
		board.say("temperature 21.5\r\n".repeat(30));
		await clock.pass(600);
		expect(log.last()).toMatchObject({
			state: "failed",
			fault: { kind: "not-our-protocol", bytesSeen: 540 },
		});
	});

	test("a board of another version of the protocol is not used", async () => {
		const { link, board, log, clock } = createLink();
		board.protocolVersion = 2;
		await link.open();
		await clock.pass(20_000);
		expect(log.last()).toMatchObject({ state: "failed", fault: { kind: "port-failed" } });
		expect(board.commands()).not.toContain("start");
	});

	test("a board that refuses to start is left alone with its reason", async () => {
		const { link, board, log, clock } = createLink();
		board.refuses = { start: "charging" };
		await link.open();
		await clock.pass(60_000);
		expect(log.last()).toEqual({
			state: "failed",
			label: "paper",
			fault: { kind: "board-refused", command: "start", reason: "charging" },
		});
		expect(board.opened).toBe(1);
	});
});

describe("current", () => {
	test("a board above the limit is told to stop, reported, and not connected to again", async () => {
		const { link, board, log, clock } = createLink();
		board.configuration = { ...board.configuration, currentMilliamp: 1.001 };
		await link.open();
		board.frame(5000);
		await clock.pass(60_000);
		expect(log.last()).toEqual({
			state: "failed",
			label: "paper",
			fault: {
				kind: "over-current-limit",
				reportedMilliamp: 1.001,
				limitMilliamp: 1,
				frequencyHertz: 50_000,
			},
		});
		expect(board.commands()).toEqual(["hello", "stop"]);
		expect(log.frames).toEqual([]);
		expect([board.opened, board.closed]).toEqual([1, 1]);
	});

	test("a running board that goes above the limit is told to stop", async () => {
		const { board, log, clock } = await createStreaming();
		board.frame(5000);
		board.configuration = { ...board.configuration, configuration: 2, frequencyHertz: 5000 };
		board.announce();
		board.frame(105_000);
		await clock.pass(100);
		expect(board.activity).toBe("stopped");
		expect(log.last()).toMatchObject({ state: "failed", fault: { limitMilliamp: 0.5 } });
		expect(log.frames.length).toBe(1);
	});

	test("a board above the limit that cannot be reached is still let go", async () => {
		const { link, board, log, clock } = createLink();
		board.configuration = { ...board.configuration, currentMilliamp: 9 };
		board.refuses = { stop: "hardware" };
		await link.open();
		await clock.pass(5000);
		expect(log.last()).toMatchObject({ state: "failed", fault: { kind: "over-current-limit" } });
		expect(board.closed).toBe(1);
	});

	test.each<[string, BoardCommand, number]>([
		["a current above the limit", { command: "set-current", milliamp: 1.2 }, 1],
		["a frequency at which the current would be too much", { command: "set-frequency", hertz: 5000 }, 0.5],
	])("%s never reaches the board", async (_, command, limitMilliamp) => {
		const { link, board } = await createStreaming();
		const outcome = await link.send(command);
		expect(outcome).toMatchObject({ ok: false, error: { kind: "over-current-limit", limitMilliamp } });
		expect(board.commands()).toEqual(["hello", "start"]);
	});

	test("a board that wakes up above a lowered limit is told to drive less before it is started", async () => {
		const { link, board, log } = createLink({ workingLimitAmpere: () => 0.6e-3 });
		board.ability = settable;
		await link.open();
		await settle();
		expect(board.commands()).toContain("current");
		expect(board.heard.find(({ command }) => command.command === "current")?.command).toMatchObject({
			microamp: 600,
		});
		expect(board.commands().indexOf("start")).toBeGreaterThan(board.commands().indexOf("current"));
		expect(log.last().state).toBe("streaming");
		expect(log.configurations.map(({ currentMilliamp }) => currentMilliamp)).not.toContain(1);
	});

	test("a board that will not keep a lowered limit is stopped", async () => {
		const { link, board, log } = createLink({ workingLimitAmpere: () => 0.6e-3 });
		board.ability = settable;
		board.refuses = { current: "hardware" };
		await link.open();
		await settle();
		expect(log.last()).toMatchObject({
			state: "failed",
			fault: { kind: "over-current-limit", reportedMilliamp: 1, limitMilliamp: 0.6 },
		});
		expect(board.commands()).toContain("stop");
		expect(board.commands()).not.toContain("start");
	});

	test("a limit that was raised on purpose is used, but never above the standard's", async () => {
		const { link, board } = await createStreaming({ workingLimitAmpere: () => 20e-3 });
		expect(await link.send({ command: "set-current", milliamp: 5 })).toEqual({ ok: true, value: null });
		expect(await link.send({ command: "set-current", milliamp: 5.1 })).toMatchObject({ ok: false });
		expect(board.heard.at(-1)?.command).toEqual({ command: "current", bandIndex: null, microamp: 5000 });
	});
});

describe("commands", () => {
	test("are acknowledged, or refused with the board's reason", async () => {
		const { link, board } = await createStreaming();
		expect(await link.send({ command: "contact-check", bandIndex: 0 })).toEqual({ ok: true, value: null });
		board.refuses = { gain: "out-of-range" };
		expect(await link.send({ command: "set-gain", gain: 400 })).toEqual({
			ok: false,
			error: { kind: "board-refused", command: "gain", reason: "out-of-range" },
		});
	});

	test("are given up after three seconds of silence", async () => {
		const { link, board, clock } = await createStreaming();
		board.deafFor = 3;
		const outcome = link.send({ command: "contact-check" });
		await clock.pass(2900);
		let isSettled = false;
		void outcome.then(() => {
			isSettled = true;
		});
		await settle();
		expect(isSettled).toBe(false);
		await clock.pass(200);
		expect(await outcome).toEqual({ ok: false, error: { kind: "board-silent", command: "contact" } });
	});

	test("go one at a time, and stop goes first", async () => {
		const { link, board, clock } = await createStreaming();
		board.deafFor = 1;
		const outcomes = [
			link.send({ command: "contact-check" }),
			link.send({ command: "set-gain", gain: 2 }),
			link.send({ command: "stop" }),
		];
		await clock.pass(1100);
		expect((await Promise.all(outcomes)).every((outcome) => outcome.ok)).toBe(true);
		expect(board.commands().slice(2)).toEqual(["contact", "stop", "gain"]);
	});

	test("more than sixteen waiting are turned away", async () => {
		const { link, board, clock } = await createStreaming();
		board.isMute = true;
		const outcomes = Array.from({ length: 18 }, () => link.send({ command: "contact-check" }));
		expect(await outcomes[17]).toEqual({ ok: false, error: { kind: "board-silent", command: "contact" } });
		const disposed = link.dispose();
		await clock.pass(1100);
		await disposed;
		expect(await outcomes[1]).toEqual({ ok: false, error: { kind: "not-connected" } });
	});

	test("without a connection are answered so", async () => {
		const { link } = createLink();
		expect(await link.send({ command: "start" })).toEqual({ ok: false, error: { kind: "not-connected" } });
	});

	test("that wait when the cable comes out are answered so", async () => {
		const { link, board } = await createStreaming();
		board.isMute = true;
		const outcome = link.send({ command: "contact-check" });
		await settle();
		board.unplug();
		expect(await outcome).toEqual({ ok: false, error: { kind: "not-connected" } });
	});

	test("stop is kept to until start", async () => {
		const { link, board, log, clock } = await createStreaming();
		await link.send({ command: "stop" });
		expect(log.last().state).toBe("stopped");
		await stream(board, clock, 8, 1_000_000);
		expect(board.commands().filter((command) => command === "start").length).toBe(1);
		expect(await link.send({ command: "start" })).toEqual({ ok: true, value: null });
		expect(log.last().state).toBe("streaming");
	});
});

describe("watching", () => {
	test("tells the board that it is there, every three seconds", async () => {
		const { board, clock } = await createStreaming();
		await stream(board, clock, 10, 1_000_000);
		expect(board.commands().filter((command) => command === "alive").length).toBe(3);
	});

	test("a board that falls silent is connected to again, with growing pauses", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 1_000_000);
		board.isMute = true;
		for (let i = 0; i < 4; i++) board.openingFaults.push({ kind: "no-such-port", path: "paper" });
		const silentAt = clock.monotonic();
		await clock.pass(20_000);
		const reconnecting = log.states.filter((state) => state.state === "reconnecting");
		expect(reconnecting.slice(0, 6).map(({ attempt, fault }) => [attempt, fault.kind])).toEqual([
			[1, "no-data"],
			[2, "no-such-port"],
			[3, "no-such-port"],
			[4, "no-such-port"],
			[5, "no-such-port"],
		]);
		board.isMute = false;
		await clock.pass(5000);
		await stream(board, clock, 1, 30_000_000);
		expect(log.last().state).toBe("streaming");
		expect(clock.monotonic() - silentAt).toBeLessThan(30_000);
		// The device's clock went on meanwhile, and so does the frames' time.
		const times = log.frames.map((frame) => frame.timeMicros);
		expect(times).toEqual(times.toSorted((a, b) => a - b));
	});

	test("a cable that comes out and goes in again: the stream goes on", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 1, 1_000_000);
		board.unplug();
		await clock.pass(300);
		expect(log.names().slice(-2)).toEqual(["reconnecting", "streaming"]);
		expect(board.opened).toBe(2);
		board.frame(3_000_000);
		await settle();
		expect(log.frames.at(-1)).toMatchObject({ lostBefore: 0 });
	});

	test("a board that started afresh is greeted and started again, and its time goes on", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 500_000_000);
		const before = log.frames.at(-1)!.timeMicros;
		board.bootNumber = 2;
		board.activity = "stopped";
		board.announce(50);
		await clock.pass(100);
		expect(board.commands().slice(-2)).toEqual(["hello", "start"]);
		board.frame(200_050, 0);
		await settle();
		expect(log.boards.length).toBe(2);
		const { timeMicros, lostBefore } = log.frames.at(-1)!;
		expect(lostBefore).toBe(0);
		expect(timeMicros - before).toBeGreaterThanOrEqual(200_000);
		expect(timeMicros - before).toBeLessThan(500_000);
	});

	test("a board that started afresh is not started before its settings are known", async () => {
		const { link, board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 500_000_000);
		board.bootNumber = 2;
		board.activity = "stopped";
		board.forgets = "C";
		board.announce(50);
		await clock.pass(1100);
		expect(board.commands().filter((command) => command === "start").length).toBe(1);
		expect(await link.send({ command: "start" })).toEqual({ ok: false, error: { kind: "not-connected" } });
		board.forgets = "";
		await clock.pass(1000);
		expect(board.activity).toBe("running");
		expect(log.last().state).toBe("streaming");
	});

	test("a configuration that was lost is asked for again", async () => {
		const { board, log, clock } = await createStreaming();
		board.configuration = { ...board.configuration, configuration: 2, gain: 16 };
		board.frame(5000);
		await clock.pass(600);
		expect(board.commands()).toContain("hello");
		board.frame(105_000);
		await settle();
		expect(log.configurations.at(-1)?.gain).toBe(16);
		expect(log.frames.length).toBe(1);
	});

	test("a running board that sends no frames is asked and started again", async () => {
		const { board, clock } = await createStreaming();
		for (let i = 0; i < 4; i++) {
			board.status(1_000_000 * i, "running");
			await clock.pass(1000);
		}
		expect(board.commands().filter((command) => command === "start").length).toBe(2);
	});

	test.each(["charging", "tripped"] as const)(
		"a board that is %s is not started again by itself",
		async (activity) => {
			const { board, log, clock } = await createStreaming();
			await stream(board, clock, 1, 1_000_000);
			board.status(2_100_000, activity);
			await stream(board, clock, 10, 2_200_000);
			expect(log.last().state).toBe("stopped");
			expect(log.statuses.at(-1)?.activity).toBe(activity);
			expect(board.commands().filter((command) => command === "start").length).toBe(1);
		},
	);

	test("a board that stopped by itself is started again", async () => {
		const { board, clock } = await createStreaming();
		await stream(board, clock, 3, 1_000_000);
		board.status(4_000_000, "stopped");
		await settle();
		expect(board.activity).toBe("running");
	});

	test("a board that runs although it should not is told to stop", async () => {
		const { link, board, clock } = createLink({ startByItself: false });
		await link.open();
		await clock.pass(2500);
		board.status(1_000_000, "running");
		await settle();
		expect(board.activity).toBe("stopped");
	});
});

describe("letting go", () => {
	test("stops the board, closes the port, and leaves no timer", async () => {
		const { link, board, log, clock } = await createStreaming();
		await link.dispose();
		await link.dispose();
		expect(board.activity).toBe("stopped");
		expect(board.closed).toBe(1);
		expect(log.last().state).toBe("idle");
		expect(clock.pending).toBe(0);
		const { length } = log.states;
		await clock.pass(20_000);
		expect(log.states.length).toBe(length);
	});

	test("does not wait for a board that is silent", async () => {
		const { link, board, clock } = await createStreaming();
		board.isMute = true;
		const disposed = link.dispose();
		await clock.pass(1100);
		await disposed;
		expect(board.closed).toBe(1);
	});

	test("while reconnecting ends the attempts", async () => {
		const { link, board, clock, log } = await createStreaming();
		board.openingFaults.push({ kind: "no-such-port", path: "paper" });
		board.unplug();
		await settle();
		await link.dispose();
		await clock.pass(20_000);
		expect(log.last().state).toBe("idle");
		expect(board.opened).toBe(1);
		expect(clock.pending).toBe(0);
	});
});
