/** A recording is of one board: what another one sends meanwhile is not in it. */
import { join } from "node:path";
import { expect, test } from "vitest";
import { systemClock } from "../../app/session/clock.ts";
import { openStore } from "../../app/store/store.ts";
import { plainConfiguration } from "./memory-source.ts";
import { openBackend } from "./open-backend.ts";

test("a recording waits while another board is connected, and goes on with its own", async () => {
	const scene = openBackend();
	try {
		await scene.until(({ link }) => link.state === "waiting-for-board");
		const values = new Float64Array(plainConfiguration.readingCount).fill(1);
		const board = (serial: string, bootNumber: number) => ({ serial, bootNumber });
		scene.source.announce({}, board("M-1", 1));
		const { sessionId } = await scene.ask("startRecording", { title: "One band" });
		for (let i = 0; i < 3; i++) scene.source.frame(values);
		const waitsFor = () => scene.backend.state().recording?.waitsFor;
		expect(waitsFor()).toBeNull();

		scene.source.tell({
			state: "reconnecting",
			label: "memory",
			attempt: 1,
			fault: { kind: "no-data", path: "m" },
		});
		scene.source.announce({ gain: 2 }, board("M-2", 9));
		for (let i = 0; i < 5; i++) scene.source.frame(values.map(() => 2));
		await scene.until(({ recording }) => recording?.waitsFor === "M-1");
		// Nothing that was known of the first board's band is taken for the second's.
		expect(scene.backend.state().board).toMatchObject({ serial: "M-2", gain: 2, batteryPercent: null });

		scene.source.announce({}, board("M-1", 2));
		for (let i = 0; i < 4; i++) scene.source.frame(values);
		await scene.until(({ recording }) => recording !== null && recording.waitsFor === null);
		await scene.ask("stopRecording", null);

		const store = openStore({
			path: join(scene.folder, "tautline.sqlite"),
			mode: "create",
			appVersion: "test",
			whenCorrupt: "refuse",
			now: systemClock.now,
			timers: { setInterval: () => null, clearInterval: () => undefined },
			onFault: () => undefined,
		});
		if (!store.ok) throw new Error(JSON.stringify(store.error));
		const frames = store.value.readFrames(sessionId, 0, 100);
		const events = store.value.readEvents(sessionId);
		store.value.dispose();
		expect(frames.ok && frames.value.map(({ values: [first] }) => first)).toEqual(Array(7).fill(1));
		expect(events.ok && events.value.map(({ label }) => label)).toEqual(
			expect.arrayContaining(["reconnecting", "another board: not recorded", "board"]),
		);
	} finally {
		await scene.close();
	}
});
