/** What a link makes of faults, on a board on paper and a clock that is turned; the same over real serial devices is in
 *  `faults-over-terminals.test.ts`. */
import { describe, expect, test } from "vitest";
import { BoardLink } from "../../app/link/board-link.ts";
import { createLinkClock } from "../../app/link/link-clock.ts";
import { FakeClock, settle } from "./fake-clock.ts";
import { LinkLog } from "./link-log.ts";
import { PaperBoard } from "./paper-board.ts";

async function createStreaming() {
	const clock = new FakeClock();
	const board = new PaperBoard();
	const log = new LinkLog();
	const link = new BoardLink({ transport: board.transport, clock }, log);
	await link.open();
	await settle();
	expect(log.last().state).toBe("streaming");
	return { clock, board, log, link };
}

/** A frame and a status of each second. */
async function stream(board: PaperBoard, clock: FakeClock, seconds: number, fromMicros: number) {
	for (let i = 0; i < seconds; i++) {
		if (board.activity === "running") board.frame(fromMicros + i * 1e6);
		board.status(fromMicros + i * 1e6);
		await clock.pass(1000);
	}
}

const faults = (log: LinkLog): string[] =>
	log.states.flatMap((state) => (state.state === "reconnecting" ? [state.fault.kind] : []));

describe("a second board on the line", () => {
	test("stops both, uses nothing of either, and goes on once only one answers", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 1_000_000);
		const before = log.frames.length;
		board.serial = "P2";
		board.bootNumber = 7;
		board.announce(3_000_000);
		board.frame(3_000_000);
		await settle();
		expect(board.activity).toBe("stopped");
		expect(log.frames.length).toBe(before);
		expect(log.last()).toMatchObject({
			state: "reconnecting",
			fault: { kind: "second-board", path: "paper", first: "P1", second: "P2" },
		});
		await clock.pass(2000);
		expect(log.last().state).toBe("streaming");
		expect(log.boards.map(({ serial }) => serial)).toEqual(["P1", "P2"]);
	});

	test("is noticed by its boot number where serial numbers are the same", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 1, 1_000_000);
		board.bootNumber = 2;
		board.announce(50);
		await clock.pass(100);
		// A restart is no second board; one that goes back to the boot before is.
		expect(faults(log)).toEqual([]);
		board.bootNumber = 1;
		board.announce(2_000_000);
		await settle();
		expect(faults(log)).toEqual(["second-board"]);
	});

	test("frames of a board that has not said who it is after a restart are nobody's", async () => {
		const { board, log, link, clock } = await createStreaming();
		await stream(board, clock, 2, 500_000_000);
		const before = log.frames.length;
		board.forgets = "H";
		board.announce(50);
		board.status(60);
		board.announce(70);
		board.frame(80, 0);
		await settle();
		expect(log.frames.length).toBe(before);
		expect(link.counters().frames).toBe(before);
		expect(link.counters().bad["unknown-configuration"]).toBe(1);
	});
});

describe("a computer that slept", () => {
	test("is told, asks the board anew and goes on; what waited at the port is used", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 3, 1_000_000);
		board.frame(3_900_000);
		clock.sleep(1_800_000);
		board.activity = "stopped";
		await clock.pass(600);
		expect(faults(log)).toEqual(["computer-slept"]);
		const slept = log.states.find((state) => state.state === "reconnecting");
		expect(slept?.state === "reconnecting" && slept.fault).toMatchObject({
			seconds: expect.closeTo(1800, -1),
		});
		expect(board.activity).toBe("running");
		expect(board.opened).toBe(1);
		await stream(board, clock, 1, 1_804_000_000);
		expect(log.last().state).toBe("streaming");
		const times = log.frames.map(({ timeMicros }) => timeMicros / 1e6);
		expect(times).toEqual([1, 2, 3, 3.9, 1804]);
	});

	test("for longer than the board's counter tells: the time between is that of the computer", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 3, 1_000_000);
		clock.sleep(3_000_000);
		board.micros = 3_003_000_000;
		await clock.pass(600);
		await stream(board, clock, 2, 3_004_000_000);
		const [before, after] = log.frames.slice(-2).map(({ timeMicros }) => timeMicros / 1e6);
		expect(after! - before!).toBeGreaterThan(0);
		expect(log.frames.at(-1)!.timeMicros / 1e6).toBeGreaterThan(3000);
	});

	test("shows in a clock whose counter stood still meanwhile", () => {
		let running = 500;
		let timeOfDay = 1_000_500;
		const clock = createLinkClock(
			() => running,
			() => timeOfDay,
			1_000_000,
		);
		expect([clock.monotonic(), clock.now()]).toEqual([500, 1_000_500]);
		timeOfDay += 3_600_000;
		running += 10;
		expect(clock.monotonic()).toBe(3_600_500);
		expect(clock.now()).toBe(timeOfDay);
		// A clock that is set back takes no time back.
		timeOfDay -= 7_200_000;
		expect(clock.monotonic()).toBe(3_600_500);
		expect(clock.now()).toBe(timeOfDay);
		running += 100;
		timeOfDay += 100;
		expect(clock.monotonic()).toBe(3_600_600);
	});
});

describe("a dying battery", () => {
	test("is told when the band stops; it is not started again until it is charged", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 1_000_000);
		board.batteryPercent = 2;
		board.activity = "stopped";
		await stream(board, clock, 4, 3_000_000);
		expect(log.last()).toMatchObject({
			state: "reconnecting",
			fault: { kind: "battery-empty", percent: 2 },
		});
		expect(board.activity).toBe("stopped");
		board.isMute = true;
		await clock.pass(20_000);
		expect(new Set(faults(log))).toEqual(new Set(["battery-empty"]));
		board.isMute = false;
		board.batteryPercent = 96;
		board.bootNumber = 2;
		await clock.pass(6000);
		await stream(board, clock, 1, 5000);
		expect(log.last().state).toBe("streaming");
		expect(board.activity).toBe("running");
	});

	test("that still runs is nothing but low", async () => {
		const { board, log, clock } = await createStreaming();
		board.batteryPercent = 2;
		await stream(board, clock, 4, 1_000_000);
		expect(log.last().state).toBe("streaming");
	});
});

describe("a disturbed line", () => {
	test("is told apart from one that is silent and from a device of another kind", async () => {
		const { board, log, clock } = await createStreaming();
		await stream(board, clock, 2, 1_000_000);
		board.isMute = true;
		for (let i = 0; i < 8; i++) {
			board.say(`S 0 ${3_000_000 + i} runnxng 50~0BAD\n`);
			await clock.pass(500);
		}
		expect(faults(log)).toEqual(["too-disturbed"]);
	});

	test("of which nothing came whole yet is still one of ours", async () => {
		const clock = new FakeClock();
		const board = new PaperBoard();
		const log = new LinkLog();
		const link = new BoardLink({ transport: board.transport, clock }, log);
		board.isMute = true;
		await link.open();
		for (let i = 0; i < 40; i++) {
			board.say(i % 2 === 0 ? `S 0 ${i} st\u00ffpped 50~0BAD\n` : `S 0 ${i} sto\n`);
			await clock.pass(500);
		}
		expect(log.last()).toMatchObject({
			state: "failed",
			fault: { kind: "too-disturbed", wholeLines: 0 },
		});
	});
});
