import { describe, expect, test } from "vitest";
import type { LinkState } from "../../app/contract.ts";
import { createLiveLink } from "../../app/session/live-link.ts";
import { createFakeClock } from "./fake-clock.ts";
import { createMemorySource, plainConfiguration } from "./memory-source.ts";
import { mixedConfiguration } from "./mixed-band.ts";

async function createScene() {
	const clock = createFakeClock();
	const source = createMemorySource(clock.now);
	const states: LinkState["state"][] = [];
	const bands: number[] = [];
	let frames = 0;
	const link = createLiveLink(clock, {
		onChange: () => undefined,
		onLinkState: ({ state }) => states.push(state),
		onBoard: () => undefined,
		onBand: (band) => bands.push(band.bandIndex),
		onBandRenumbered: () => undefined,
		onLeftOut: () => undefined,
		onFrame: () => frames++,
		onContacts: () => undefined,
		onStatus: () => undefined,
	});
	await link.connect(null, source.factory);
	return { clock, source, link, states, bands, frames: () => frames };
}

const values = new Float64Array(208).fill(1);

describe("the link", () => {
	test("goes from waiting to streaming and back to idle", async () => {
		const { source, link, states } = await createScene();
		source.announce();
		await link.disconnect();
		expect(states).toEqual(["waiting-for-board", "streaming", "idle"]);
		expect(source.isDisposed).toBe(true);
	});

	test("shows what the board reports", async () => {
		const { source, link } = await createScene();
		source.announce({ frequencyHertz: 50_000, currentMilliamp: 0.8 });
		expect(link.boardState(0)).toMatchObject({
			pattern: "adjacent/adjacent",
			readingCount: 208,
			currentMilliamp: 0.8,
			// The app's own working limit; the standard's rule allows 5 mA at 50 kHz. See core/safety/current-limit.ts.
			currentLimitMilliamp: 1,
			simulated: true,
		});
		expect(link.boardState(1)).toBeNull();
	});

	test("drops frames of a band that was never announced", async () => {
		const { source, link, frames } = await createScene();
		source.announce();
		source.frame(values, { bandIndex: 2 });
		source.frame(values);
		expect(frames()).toBe(1);
		expect(link.bands.size).toBe(1);
	});

	test("keeps a band that is announced again unchanged, and begins a new one when its settings are others", async () => {
		const { source, link, bands } = await createScene();
		source.announce();
		const first = link.bands.get(0);
		source.configure({ configuration: 2 });
		expect(link.bands.get(0)).toBe(first);
		expect(first?.configuration.configuration).toBe(2);
		source.configure({ configuration: 3, gain: 2 });
		expect(link.bands.get(0)).not.toBe(first);
		expect(bands).toEqual([0, 0]);
	});

	test("keeps only the last of several connects at once", async () => {
		const { clock, source, link } = await createScene();
		const others = [createMemorySource(clock.now), createMemorySource(clock.now)];
		await Promise.all(others.map(({ factory }) => link.connect(null, factory)));
		expect(source.isDisposed).toBe(true);
		others[1]!.announce();
		expect(link.state.state).toBe("streaming");
		expect(() => others[0]!.announce()).toThrow();
	});

	test("hears no more of a source that was let go", async () => {
		const { clock, source, link, states } = await createScene();
		const next = createMemorySource(clock.now);
		await link.connect(null, next.factory);
		source.tell({ state: "streaming", label: "old" });
		expect(source.isDisposed).toBe(true);
		expect(states).toEqual(["waiting-for-board", "waiting-for-board"]);
	});
});

describe("current", () => {
	// 0.1 mA × f / 1 kHz by the rule in core/safety/current-limit.ts: 0.7 mA at 7 kHz.
	test("above the limit that the board reports ends the link and says by how much", async () => {
		const { source, link, frames } = await createScene();
		source.announce({ currentMilliamp: 0.71, frequencyHertz: 7000 });
		expect(link.state).toMatchObject({
			state: "failed",
			fault: { kind: "over-current-limit", reportedMilliamp: 0.71, frequencyHertz: 7000 },
		});
		expect(source.isDisposed).toBe(true);
		source.frame(values);
		expect(frames()).toBe(0);
	});

	test.each([
		[{ command: "set-current", milliamp: 0.9 } as const, true],
		[{ command: "set-current", milliamp: 1.1 } as const, false],
		[{ command: "set-frequency", hertz: 20_000 } as const, true],
		// 0.8 mA flow: 8 kHz is the least that allows them.
		[{ command: "set-frequency", hertz: 7900 } as const, false],
	])("asked for by %o is passed on only within the limit: %s", async (command, allowed) => {
		const { source, link } = await createScene();
		source.announce({ currentMilliamp: 0.8 });
		const outcome = await link.send(command);
		expect(outcome.ok).toBe(allowed);
		expect(source.sent).toEqual(allowed ? [command] : []);
		if (!outcome.ok) expect(outcome.error.kind).toBe("over-current-limit");
	});

	test("is not asked for where nothing is connected", async () => {
		const { link } = await createScene();
		await link.disconnect();
		expect(await link.send({ command: "start" })).toEqual({ ok: false, error: { kind: "not-connected" } });
	});
});

test("a drive that is not known, or that does not fit its readings, ends the link with the reason", async () => {
	for (const change of [{ drive: "zigzag" }, { readingCount: 207 }, { drive: "skip-40" }]) {
		const { source, link } = await createScene();
		source.announce(change);
		expect(link.state).toMatchObject({ state: "failed", fault: { kind: "board-refused" } });
	}
	const { source, link } = await createScene();
	const listedTerminals = Uint16Array.of(0, 1, 2, 3, 2, 3, 0, 1);
	source.announce({ ...plainConfiguration, drive: "listed", listedTerminals, readingCount: 2 });
	expect(link.bands.get(0)?.pattern.terminals).toEqual(listedTerminals);
	expect(link.bands.get(0)?.pairs.count).toBe(1);
});

test("a list that names what the board does not have ends the link with the reason, whichever band is told first", async () => {
	const two = { bandCount: 2 };
	const whole = await createScene();
	whole.source.announce(mixedConfiguration(0), two);
	whole.source.announce(mixedConfiguration(1), two);
	expect(whole.link.bands.size).toBe(2);
	expect(whole.link.bands.get(0)?.own.length).toBe(208);

	const single = await createScene();
	single.source.announce(mixedConfiguration(0));
	expect(single.link.state).toMatchObject({
		state: "failed",
		fault: {
			kind: "board-refused",
			reason: "reading 13 in the list of band 0 names 1:0, but the board has 1 band",
		},
	});

	const small = await createScene();
	small.source.announce(mixedConfiguration(0), two);
	expect(small.link.state.state).not.toBe("failed");
	small.source.announce({ bandIndex: 1, electrodeCount: 8, readingCount: 40 }, two);
	expect(small.link.state).toMatchObject({
		state: "failed",
		fault: { reason: expect.stringContaining("names 1:8, but band 1 has 8 electrodes") },
	});
});

test("a board's clock is followed, and late frames are counted", async () => {
	const { clock, source, link } = await createScene();
	source.announce();
	// 30 s of frames whose device time runs 200 ppm fast.
	for (let i = 0; i < 30; i++) {
		for (let k = 0; k < 10; k++) {
			clock.turn(100);
			source.frame(values, { timeMicros: 5_000_000 + (10 * i + k) * 100_020 });
		}
	}
	expect(link.quality(0).clockDriftPpm).toBeCloseTo(200, 0);
	expect(link.quality(0).late).toBe(0);
	clock.turn(350);
	source.frame(values, { timeMicros: 5_000_000 + 300 * 100_020 });
	expect(link.quality(0).late).toBe(1);
	source.tell({ state: "reconnecting", label: "memory", attempt: 1, fault: { kind: "not-connected" } });
	expect(link.quality(0).clockDriftPpm).toBeNull();
});

test("quality tells rate, losses, contacts and what decides", async () => {
	const { clock, source, link } = await createScene();
	expect(link.quality(0)).toMatchObject({ framesPerSecond: 0, overall: "unknown" });
	source.announce();
	for (let i = 0; i < 90; i++) {
		clock.turn(1000 / 30);
		source.frame(values, { lostBefore: i % 10 === 9 ? 1 : 0 });
	}
	const quality = link.quality(0);
	expect(quality.framesPerSecond).toBeCloseTo(30, 0);
	expect(quality).toMatchObject({ frames: 90, lost: 9, overall: "fair", signalToNoiseDecibel: null });
	expect(quality.reciprocityPercent).toBe(0);
	expect(quality).toMatchObject({ late: 0, clockDriftPpm: null });
	source.contacts(
		0,
		Array.from({ length: 16 }, (_, i) => (i === 3 ? Number.NaN : 300)),
	);
	expect(link.quality(0)).toMatchObject({ overall: "poor", reason: "1 electrode off the skin" });
	expect(link.contacts(0)[3]).toEqual({ ohm: null, verdict: "off" });
	expect(link.contacts(0)[4]).toEqual({ ohm: 300, verdict: "good" });
});
