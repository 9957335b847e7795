/** The default start: a simulated board in a real worker thread, on the real clock. */
import { describe, expect, test } from "vitest";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import { createSimulatedSource } from "../../app/link/simulated-source.ts";
import { LinkLog } from "./link-log.ts";

const options = {
	seed: 8,
	framesPerSecond: 60,
	bandCount: 2,
	electrodeCount: 8,
	scenario: "tour",
	corruptShare: 0,
	dropShare: 0.05,
} as const;

describe("the simulated source", () => {
	test("prepares in its own thread and streams all bands, told as simulated, with the truth beside every frame", async () => {
		const log = new LinkLog();
		const truths: FrameTruth[] = [];
		const source = createSimulatedSource({ ...options, onTruth: (truth) => truths.push(truth) }, log);
		let turns = 0;
		let isOpen = false as boolean;
		const count = () => {
			turns++;
			if (!isOpen) setImmediate(count);
		};
		setImmediate(count);
		await source.open();
		isOpen = true;
		// Two bands take hundreds of ms to prepare: done in this thread, its loop would hardly have turned.
		expect(turns).toBeGreaterThan(20);
		await log.until(() => log.frames.length >= 60);
		expect(log.boards[0]).toMatchObject({ simulated: true, bandCount: 2 });
		expect(log.configurations.map(({ bandIndex }) => bandIndex)).toEqual([0, 1]);
		await source.send({ command: "stop" });
		await source.dispose();
		expect(log.last().state).toBe("idle");
		for (const bandIndex of [0, 1]) {
			const sent = truths.filter((truth) => truth.bandIndex === bandIndex && truth.line === "sent");
			const received = log.frames.filter((frame) => frame.bandIndex === bandIndex);
			expect(received.map((frame) => frame.sequence)).toEqual(
				sent.slice(0, received.length).map((truth) => truth.sequence),
			);
		}
		// Bands sit at different levels of the thigh: their first readings differ.
		const first = [0, 1].map((band) => log.frames.find((frame) => frame.bandIndex === band)!.first);
		expect(Math.abs(first[0]! / first[1]! - 1)).toBeGreaterThan(0.01);
	});

	test("obeys settings and reports contacts", async () => {
		const log = new LinkLog();
		const source = createSimulatedSource({ ...options, bandCount: 1, dropShare: 0 }, log);
		await source.open();
		await log.until(() => log.frames.length > 0);
		expect(await source.send({ command: "set-current", milliamp: 0.5 })).toEqual({ ok: true, value: null });
		expect(log.configurations.at(-1)?.currentMilliamp).toBe(0.5);
		expect(await source.send({ command: "contact-check" })).toEqual({ ok: true, value: null });
		expect(log.contacts.at(-1)?.length).toBe(8);
		expect(Array.from(log.contacts.at(-1)!).every((ohm) => ohm > 50 && ohm < 1000)).toBe(true);
		await source.dispose();
	});

	test("a board that is set too high is stopped and reported", async () => {
		const log = new LinkLog();
		const source = createSimulatedSource({ ...options, bandCount: 1, currentMilliamp: 2 }, log);
		await source.open();
		await log.until(() => log.last().state === "failed");
		expect(log.last()).toMatchObject({
			fault: { kind: "over-current-limit", reportedMilliamp: 2, limitMilliamp: 1 },
		});
		expect(log.frames).toEqual([]);
		await source.dispose();
	});

	test("a worker that cannot start is told, not thrown", async () => {
		const log = new LinkLog();
		const workerFile = new URL("./no-such-worker.ts", import.meta.url);
		const source = createSimulatedSource({ ...options, workerFile }, log);
		await source.open();
		expect(log.last()).toMatchObject({ state: "failed", fault: { kind: "internal" } });
		await source.dispose();
	});
});
