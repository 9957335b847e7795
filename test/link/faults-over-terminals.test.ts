/** Every fault of the simulator over a real pseudo-terminal, through the link and the backend, with a recording running. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import type { AppState, Fault } from "../../app/contract.ts";
import { type LinkClock, systemClock } from "../../app/link/link-clock.ts";
import { createSerialSource } from "../../app/link/serial-source.ts";
import { type BoardCable, ownCable } from "../../app/link/simulated/board-cable.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import type { SimulatedFaultName } from "../../app/link/simulated/faults.ts";
import { FaultyBench } from "../../app/link/simulated/faulty-bench.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import type { WornLimb } from "../../app/link/simulated/worn-limb.ts";
import type { SessionEvent, StoredFrame } from "../../app/store/records.ts";
import { openStore } from "../../app/store/store.ts";
import { encodeReadings } from "../../core/wire/readings.ts";
import { type OpenBackend, openBackend } from "../session/open-backend.ts";
import { hasSocat } from "./pty-pair.ts";

const baudRate = 115_200;
/** s, more than any test lasts. */
const untilTold = 600;
const board: SimulatedBoardOptions = {
	seed: 31,
	framesPerSecond: 20,
	bandCount: 1,
	electrodeCount: 8,
	scenario: "rest",
	corruptShare: 0,
	dropShare: 0,
};
let limbs: readonly WornLimb[];
beforeAll(() => {
	limbs = createLimbs(board);
});

/** The computer's clock, which may jump as after a sleep. */
function createSleeper(): LinkClock & { sleep(ms: number): void } {
	let asleep = 0;
	return {
		now: () => systemClock.now() + asleep,
		monotonic: () => systemClock.monotonic() + asleep,
		after: (delayMs, call) => systemClock.after(delayMs, call),
		sleep(ms) {
			asleep += ms;
		},
	};
}

interface Stored {
	readonly events: readonly SessionEvent[];
	/** Of the frames that this board sent whole from the first stored one to the last, those that are not stored, as
	 *  stretches: each is a time without a connection. */
	readonly stretchesMissing: number;
	readonly count: number;
}

interface SaidFrame {
	readonly sequence: number;
	readonly timeMicros: number;
}

/** What was said on a cable, whosever board said it: frames by their readings, which never come twice. */
function listenOn(cable: BoardCable, said: Map<string, SaidFrame>): BoardCable {
	return {
		...cable,
		async plug(isAgain) {
			const plugged = await cable.plug(isAgain);
			if (!plugged.ok) return plugged;
			const { stream } = plugged.value;
			const write = stream.write.bind(stream);
			stream.write = ((line: Uint8Array) => {
				const fields = Buffer.from(line).toString("latin1").split(/[ ~]/);
				if (fields[0] === "F" && fields[6] !== undefined) {
					said.set(fields[6], { sequence: Number(fields[3]), timeMicros: Number(fields[4]) });
				}
				return write(line);
			}) as typeof stream.write;
			return plugged;
		},
	};
}

/** Every stored frame is one that this very board sent whole, as it was sent, once and in its order. */
function compare(
	frames: readonly StoredFrame[],
	said: ReadonlyMap<string, SaidFrame>,
	truths: readonly FrameTruth[],
): { stretchesMissing: number } {
	const sent = truths.filter(({ line }) => line === "sent");
	const places = frames.map(({ values, sequence }) => {
		const line = said.get(encodeReadings("i24", values));
		expect(line?.sequence).toBe(sequence);
		return sent.findIndex((truth) => truth.sequence === sequence && truth.timeMicros === line?.timeMicros);
	});
	expect(places).not.toContain(-1);
	let stretchesMissing = 0;
	for (let i = 1; i < places.length; i++) {
		expect(places[i]).toBeGreaterThan(places[i - 1]!);
		if (places[i] !== places[i - 1]! + 1) stretchesMissing++;
	}
	// The clock of what is stored never runs backwards, whatever board was restarted.
	const times = frames.map(({ timeMicros }) => timeMicros);
	expect(times).toEqual(times.toSorted((a, b) => a - b));
	return { stretchesMissing };
}

interface Scene extends AsyncDisposable {
	readonly backend: OpenBackend;
	readonly bench: FaultyBench;
	readonly clock: ReturnType<typeof createSleeper>;
	/** Of frames of this board. */
	readonly truths: FrameTruth[];
	/** Faults that the link's state has shown, without repetitions next to each other. */
	readonly faults: Fault[];
	/** Ends the recording. */
	stored(): Promise<Stored>;
	until(isThere: (state: AppState) => boolean): Promise<AppState>;
	untilFault(kinds: readonly Fault["kind"][]): Promise<void>;
	untilBoot(bootNumber: number): Promise<void>;
	/** More frames of the recording than now. */
	more(frames: number): Promise<unknown>;
}

/** With a recording running, or with a fault from before anybody listens. */
async function createScene(fromStart: SimulatedFaultName | null = null): Promise<Scene> {
	const folder = mkdtempSync(join(tmpdir(), "tautline-faults-"));
	const path = join(folder, "host");
	const said = new Map<string, SaidFrame>();
	const cable = listenOn(await ownCable(path, baudRate), said);
	const truths: FrameTruth[] = [];
	const faults: Fault[] = [];
	const boots: number[] = [];
	const clock = createSleeper();
	const bench = new FaultyBench({
		board,
		cable,
		clock: systemClock,
		baudRate,
		onTruth: (truth) => truths.push(truth),
		say: () => undefined,
		onGone: () => undefined,
	});
	const opened = await bench.open();
	if (!opened.ok) throw new Error(JSON.stringify(opened.error));
	if (fromStart !== null) void bench.play(fromStart, untilTold);
	bench.start(limbs);
	// The state that pages see leaves out what lasts for an instant only: here every word of the link is heard.
	const waiting = new Set<() => void>();
	const scene = openBackend({
		source: (events) =>
			createSerialSource(
				{ path, baudRate, clock },
				{
					...events,
					onBoard(identity) {
						boots.push(identity.bootNumber);
						events.onBoard(identity);
						for (const look of waiting) look();
					},
					onState(link) {
						if ("fault" in link && link.fault.kind !== faults.at(-1)?.kind) faults.push(link.fault);
						events.onState(link);
						for (const look of waiting) look();
					},
				},
			),
	});
	function heard(isThere: () => boolean): Promise<void> {
		return new Promise((there) => {
			const look = (): void => {
				if (!isThere()) return;
				waiting.delete(look);
				there();
			};
			waiting.add(look);
			look();
		});
	}
	let sessionId = 0;
	if (fromStart === null) {
		await scene.until(({ link }) => link.state === "streaming");
		({ sessionId } = await scene.ask("startRecording", { title: "Faults" }));
	}
	const recorded = (): number => scene.backend.state().recording?.frames ?? 0;
	return {
		backend: scene,
		bench,
		clock,
		truths,
		faults,
		until: scene.until,
		untilFault: (kinds) => heard(() => faults.some(({ kind }) => kinds.includes(kind))),
		untilBoot: (boot) => heard(() => boots.includes(boot)),
		async more(frames) {
			const before = recorded();
			await scene.until(({ recording }) => (recording?.frames ?? 0) >= before + frames);
		},
		async stored() {
			await scene.ask("stopRecording", null);
			const store = openStore({
				path: join(scene.folder, "tautline.sqlite"),
				mode: "read",
				appVersion: "test",
				whenCorrupt: "refuse",
				now: () => Date.now(),
				timers: { setInterval: () => null, clearInterval: () => undefined },
				onFault: () => undefined,
			});
			if (!store.ok) throw new Error(JSON.stringify(store.error));
			const frames = store.value.readFrames(sessionId, 0, 10_000);
			const events = store.value.readEvents(sessionId);
			store.value.dispose();
			if (!frames.ok || !events.ok) throw new Error("the session cannot be read");
			return { events: events.value, count: frames.value.length, ...compare(frames.value, said, truths) };
		},
		async [Symbol.asyncDispose]() {
			await scene.close();
			await bench.stop();
			rmSync(folder, { recursive: true, force: true });
		},
	};
}

/** A fault ends once it was told; it may have more than one thing to wait for, or not have come to it yet. */
async function endOf(bench: FaultyBench, playing: Promise<void>): Promise<void> {
	const pushing = setInterval(() => bench.goOn(), 50);
	await playing.finally(() => clearInterval(pushing));
}

const labels = ({ events }: Stored): string[] => events.map(({ label }) => label);

// Side by side, for most of their time is waiting: three seconds without a line are a silence.
describe
	.skipIf(!hasSocat)
	.concurrent("with a recording running, over a real serial device", { timeout: 90_000 }, () => {
		/** Each lasts until it is told. */
		test.each<[SimulatedFaultName, readonly Fault["kind"][]]>([
			["unplug", ["no-such-port"]],
			// Whether the first look finds silence or an unanswered question is a matter of what else the machine does.
			["sleep", ["no-data", "board-silent"]],
			["drowned", ["too-disturbed"]],
			["battery-dying", ["battery-empty"]],
			["second-band", ["second-board"]],
			["port-stolen", ["port-busy"]],
		])("%s: told, marked as a gap, and the same recording goes on", async (name, kinds) => {
			await using scene = await createScene();
			await scene.more(10);
			const playing = scene.bench.play(name, untilTold);
			await scene.untilFault(kinds);
			await endOf(scene.bench, playing);
			await scene.until(({ link }) => link.state === "streaming");
			await scene.more(10);
			const stored = await scene.stored();
			expect(stored.stretchesMissing).toBeLessThanOrEqual(scene.faults.length);
			expect(labels(stored)).toEqual(expect.arrayContaining(["reconnecting", "streaming"]));
		});

		test("reset in mid-frame: the half frame is dropped and counted, nothing else is lost", async () => {
			await using scene = await createScene();
			await scene.more(15);
			await scene.bench.play("reset", 0);
			await scene.untilBoot(board.seed + 1);
			await scene.more(10);
			const stored = await scene.stored();
			// The frame that was cut may have been told as taken.
			expect(stored.stretchesMissing).toBeLessThanOrEqual(1);
			const boots = stored.events.flatMap(({ label, detail }) =>
				label === "board" ? [(detail as { bootNumber: number }).bootNumber] : [],
			);
			// The one before was told before the recording began.
			expect(boots).toEqual([board.seed + 1]);
			const { bad } = scene.backend.backend.state().quality;
			expect(bad["bad-checksum"]! + bad["no-checksum"]!).toBe(1);
		});

		test("noise: what comes whole is stored, what does not is counted by cause", async () => {
			await using scene = await createScene();
			await scene.more(10);
			await scene.bench.play("noise", 1.5);
			const damaged = scene.truths.filter(({ line }) => line === "corrupted").length;
			expect(damaged).toBeGreaterThan(3);
			const { quality } = await scene.until(
				({ quality: { bad } }) => Object.values(bad).reduce((sum, count) => sum + count, 0) >= damaged,
			);
			await scene.more(5);
			expect(quality.lost).toBeGreaterThan(0);
			const stored = await scene.stored();
			expect(stored.stretchesMissing).toBe(scene.faults.length);
		});

		test("the computer sleeps: told, and the same recording goes on", async () => {
			await using scene = await createScene();
			await scene.more(10);
			scene.clock.sleep(60_000);
			await scene.untilFault(["computer-slept"]);
			await scene.until(({ link }) => link.state === "streaming");
			await scene.more(10);
			const stored = await scene.stored();
			// While it is not lost for another reason too, the connection is kept, and all that came on it.
			expect(stored.stretchesMissing).toBeLessThanOrEqual(scene.faults.length - 1);
			expect(labels(stored)).toEqual(expect.arrayContaining(["reconnecting", "streaming"]));
		});

		test("another band in its place: nothing of it is recorded, and the first one's recording goes on", async () => {
			await using scene = await createScene();
			await scene.more(15);
			const playing = scene.bench.play("swapped-band", untilTold);
			const { board: other } = await scene.until(
				// Between the two no board is there.
				({ recording, board }) => recording?.waitsFor === "SIM-0000001F" && board !== null,
			);
			expect(other?.serial).toBe("SIM-00000020");
			await endOf(scene.bench, playing);
			await scene.until(({ recording, link }) => recording?.waitsFor === null && link.state === "streaming");
			await scene.more(10);
			const stored = await scene.stored();
			expect(labels(stored)).toContain("another board: not recorded");
		});

		test("wrong baud: no line is found, and the speed that the bytes look like is told", async () => {
			await using scene = await createScene("wrong-baud");
			await scene.untilFault(["wrong-speed"]);
			expect(scene.faults).toEqual([
				expect.objectContaining({ kind: "wrong-speed", likelyBaudRate: 57_600 }),
			]);
		});
	});
