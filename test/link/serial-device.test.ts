/** Over real serial devices: pseudo-terminals joined by socat, opened through the operating system on both ends. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { SerialPort } from "serialport";
import { beforeAll, describe, expect, test } from "vitest";
import { systemClock } from "../../app/link/link-clock.ts";
import { createSerialSource } from "../../app/link/serial-source.ts";
import { createSerialTransport, toFault } from "../../app/link/serial-transport.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { serveBoard } from "../../app/link/simulated/serve-board.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import type { WornLimb } from "../../app/link/simulated/worn-limb.ts";
import type { Connection } from "../../app/link/transport.ts";
import { FakeClock, settle } from "./fake-clock.ts";
import { LinkLog } from "./link-log.ts";
import { hasSocat, PtyPair } from "./pty-pair.ts";

const baudRate = 460_800;
const options: SimulatedBoardOptions = {
	seed: 21,
	framesPerSecond: 60,
	bandCount: 1,
	electrodeCount: 8,
	scenario: "tour",
	corruptShare: 0,
	dropShare: 0,
};
let limbs: readonly WornLimb[];
beforeAll(() => {
	limbs = createLimbs(options);
});

async function openPort(path: string): Promise<Connection> {
	const opened = await createSerialTransport(path, baudRate).open();
	if (!opened.ok) throw new Error(`could not open ${path}: ${JSON.stringify(opened.error)}`);
	return opened.value;
}

/** A simulated board at one end of the cable. */
async function serve(path: string, changes: Partial<SimulatedBoardOptions> = {}) {
	const connection = await openPort(path);
	const truths: FrameTruth[] = [];
	const served = serveBoard({ ...options, ...changes }, limbs, connection.stream, systemClock, (truth) => {
		truths.push(truth);
	});
	return {
		truths,
		connection,
		async [Symbol.asyncDispose]() {
			served.stop();
			await connection.close();
		},
	};
}

function connect(path: string) {
	const log = new LinkLog();
	const source = createSerialSource({ path, baudRate }, log);
	return { log, source, [Symbol.asyncDispose]: () => source.dispose() };
}

describe.skipIf(!hasSocat)("a board on a serial device", () => {
	test("every whole frame arrives, damaged and lost ones are counted", async () => {
		await using pair = await PtyPair.create();
		await using board = await serve(pair.board, { corruptShare: 0.08, dropShare: 0.03 });
		await using host = connect(pair.host);
		await host.source.open();
		await host.log.until(() => host.log.frames.length >= 80);
		await host.source.send({ command: "stop" });
		const { frames } = host.log;
		const last = frames.at(-1)!.sequence;
		const sent = board.truths.filter((truth) => truth.line === "sent" && truth.sequence <= last);
		expect(frames.map((frame) => frame.sequence)).toEqual(sent.map((truth) => truth.sequence));
		const { frames: count, lost, bad } = host.source.counters();
		expect(count + lost).toBe(last - frames[0]!.sequence + 1);
		const damaged = board.truths.filter((truth) => truth.line === "corrupted").length;
		expect(damaged).toBeGreaterThan(0);
		expect(Object.values(bad).reduce((sum, n) => sum + n, 0)).toBeGreaterThanOrEqual(damaged);
		// Device times are those of the truth, to the µs.
		expect(frames[0]!.timeMicros).toBe(sent[0]!.timeMicros);
		expect(frames.at(-1)!.timeMicros).toBe(sent.at(-1)!.timeMicros);
	});

	test("frames that arrive in crumbs are the same frames", async () => {
		await using pair = await PtyPair.create();
		const connection = await openPort(pair.board);
		const { stream } = connection;
		const writeWhole = stream.write.bind(stream);
		// Every line goes out in pieces of one to nine bytes.
		stream.write = ((bytes: Uint8Array) => {
			for (let at = 0, n = 1; at < bytes.length; at += n, n = (n % 9) + 1)
				writeWhole(bytes.subarray(at, at + n));
			return true;
		}) as typeof stream.write;
		const served = serveBoard(options, limbs, stream, systemClock);
		await using host = connect(pair.host);
		await host.source.open();
		await host.log.until(() => host.log.frames.length >= 20);
		expect(host.source.counters()).toMatchObject({ lost: 0, bad: { "bad-checksum": 0, "no-checksum": 0 } });
		await host.source.dispose();
		served.stop();
		await connection.close();
	});

	test("a cable that is pulled and plugged in again: told, and the stream goes on", async () => {
		await using pair = await PtyPair.create();
		await using host = connect(pair.host);
		{
			await using _board = await serve(pair.board);
			await host.source.open();
			await host.log.until(() => host.log.frames.length >= 10);
			await pair.pull();
			await host.log.until(() => host.log.last().state === "reconnecting");
		}
		expect(host.log.last()).toMatchObject({ attempt: 1, fault: { kind: "no-such-port", path: pair.host } });
		const before = host.log.frames.length;
		await pair.plug();
		await using _board = await serve(pair.board, { bootNumber: 2 });
		await host.log.until(() => host.log.frames.length >= before + 10);
		expect(host.log.last().state).toBe("streaming");
		const times = host.log.frames.map((frame) => frame.timeMicros);
		expect(times).toEqual(times.toSorted((a, b) => a - b));
	});

	test("a device that talks something else is not ours", async () => {
		await using pair = await PtyPair.create();
		const device = await openPort(pair.board);
		await using host = connect(pair.host);
		await host.source.open();
		device.stream.write("temperature 21.5 °C\r\n".repeat(40));
		await host.log.until(() => host.log.last().state === "failed");
		expect(host.log.last()).toMatchObject({ fault: { kind: "not-our-protocol", path: pair.host } });
		await device.close();
	});

	test("a port that another program holds is busy", async () => {
		await using pair = await PtyPair.create();
		const holder = new SerialPort({ path: pair.host, baudRate });
		await once(holder, "open");
		await using host = connect(pair.host);
		await host.source.open();
		expect(host.log.last()).toMatchObject({ state: "failed", fault: { kind: "port-busy", path: pair.host } });
		holder.close();
		await once(holder, "close");
	});

	test.skipIf(process.getuid?.() !== 0)("a port that one may not open names the group that may", async () => {
		await using pair = await PtyPair.create();
		const nobody = 65_534;
		const script = fileURLToPath(new URL("./open-port.ts", import.meta.url));
		const child = spawn(process.execPath, [script, pair.host], {
			uid: nobody,
			gid: nobody,
			stdio: ["ignore", "pipe", "inherit"],
		});
		let said = "";
		child.stdout.on("data", (chunk: Buffer) => {
			said += chunk.toString();
		});
		await once(child, "close");
		expect(JSON.parse(said)).toMatchObject({
			ok: false,
			error: { kind: "port-permission", path: pair.host },
		});
	});

	test("a line that nobody empties loses whole frames, not memory", async () => {
		await using pair = await PtyPair.create();
		const connection = await openPort(pair.board);
		const reader = new SerialPort({ path: pair.host, baudRate });
		await once(reader, "open");
		const clock = new FakeClock();
		const fates = { sent: 0, corrupted: 0, dropped: 0 };
		const served = serveBoard(
			{ ...options, streamsAtOnce: true },
			limbs,
			connection.stream,
			clock,
			({ line }) => {
				fates[line]++;
			},
		);
		await clock.pass(14_000);
		expect(fates.dropped).toBeGreaterThan(100);
		expect(connection.stream.writableLength).toBeLessThan(70_000);
		served.stop();
		reader.close();
		await connection.close();
		await settle();
	});
});

describe("ports that cannot be opened", () => {
	test("one that is not there", async () => {
		await using host = connect("/dev/tautline-nothing-here");
		await host.source.open();
		expect(host.log.states.at(-1)).toEqual({
			state: "failed",
			label: "/dev/tautline-nothing-here",
			fault: { kind: "no-such-port", path: "/dev/tautline-nothing-here" },
		});
	});

	test("a file is no port", async () => {
		const folder = mkdtempSync(join(tmpdir(), "tautline-file-"));
		const path = join(folder, "port");
		writeFileSync(path, "");
		await using host = connect(path);
		await host.source.open();
		expect(host.log.last()).toMatchObject({ state: "failed", fault: { kind: "not-a-port", path } });
		rmSync(folder, { recursive: true });
	});

	test.skipIf(process.platform === "win32")("a device that is something else is no port", async () => {
		await using host = connect("/dev/null");
		await host.source.open();
		expect(host.log.last()).toMatchObject({
			state: "failed",
			fault: { kind: "not-a-port", path: "/dev/null" },
		});
	});

	// Texts of the port library's bindings (its `open` errors carry no code), as seen on Linux and read in its sources.
	test.each([
		["Error: No such file or directory, cannot open /dev/ttyUSB9", "no-such-port"],
		["Opening COM9: File not found", "no-such-port"],
		["Error Resource temporarily unavailable Cannot lock port", "port-busy"],
		["Error: Device or resource busy, cannot open /dev/ttyUSB0", "port-busy"],
		["Opening COM3: Access denied", "port-busy"],
		["Error: Permission denied, cannot open /dev/ttyUSB0", "port-permission"],
		["Error: Input/output error, cannot open /dev/ttyS0", "port-failed"],
	])("%s: %s", (text, kind) => {
		expect(toFault("/dev/port", new Error(text)).kind).toBe(kind);
	});
});
