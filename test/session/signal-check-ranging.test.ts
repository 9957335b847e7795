/** The search for current and gain over a link to simulated boards that speak the protocol in bytes: contacts of 0.2 to
 *  5 kΩ, converters that saturate, boards that refuse, answer late or not at all. */
import { duplexPair } from "node:stream";
import { beforeAll, describe, expect, test } from "vitest";
import { BoardLink } from "../../app/link/board-link.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { serveBoard } from "../../app/link/simulated/serve-board.ts";
import type { WornLimb } from "../../app/link/simulated/worn-limb.ts";
import type { Clock } from "../../app/session/clock.ts";
import { createLiveLink, limitMilliamp } from "../../app/session/live-link.ts";
import { createRangeFinder, type RangeFinder } from "../../app/session/signal-check-ranging.ts";
import { success } from "../../core/result.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { aimedShare } from "../../core/signal/ranging.ts";
import type { BandDrive } from "../../core/signal/signal-check.ts";
import { FakeClock } from "../link/fake-clock.ts";

const plainOptions: SimulatedBoardOptions = {
	seed: 5,
	framesPerSecond: 20,
	bandCount: 1,
	electrodeCount: 8,
	scenario: "rest",
	corruptShare: 0,
	dropShare: 0,
};
let limbs: readonly WornLimb[];

beforeAll(() => {
	limbs = createLimbs(plainOptions);
});

function sessionClock(clock: FakeClock): Clock {
	return {
		now: () => clock.now(),
		after: (milliseconds, run) => clock.after(milliseconds, run),
		every: () => () => undefined,
	};
}

interface Ranged {
	readonly drive: BandDrive;
	readonly seconds: number;
	/** As the board says once it is over. */
	readonly inForce: { readonly currentMilliamp: number; readonly gain: number };
	/** Of the largest reading that comes after, over full scale. */
	readonly share: number;
	readonly largestMilliamp: number;
}

async function range(
	board: Partial<SimulatedBoardOptions>,
	workingLimitAmpere = defaultWorkingLimitAmpere,
): Promise<Ranged> {
	const clock = new FakeClock();
	const options = { ...plainOptions, ...board };
	const [host, wire] = duplexPair();
	const served = serveBoard(options, limbs, wire, clock);
	let share = 0;
	let largestMilliamp = 0;
	const link = createLiveLink(
		sessionClock(clock),
		{
			onChange: () => undefined,
			onLinkState: () => undefined,
			onBoard: () => undefined,
			onBand(band) {
				largestMilliamp = Math.max(largestMilliamp, band.configuration.currentMilliamp);
				finder.onBand(band);
			},
			onBandRenumbered: () => undefined,
			onFrame(band, frame) {
				share =
					frame.values.reduce((most, value) => Math.max(most, Math.abs(value)), 0) /
					band.configuration.fullScale;
				finder.onFrame(band, frame);
			},
			onLeftOut: () => undefined,
			onContacts: () => undefined,
			onStatus: () => undefined,
		},
		() => workingLimitAmpere,
	);
	const finder: RangeFinder = createRangeFinder({
		clock: sessionClock(clock),
		live: {
			bands: link.bands,
			abilities: link.abilities,
			send: (command) => link.send(command),
			limitMilliamp: (hertz) => limitMilliamp(hertz, workingLimitAmpere),
		},
	});
	const transport = {
		label: "simulated",
		open: async () => success({ stream: host, close: async () => void host.destroy() }),
		lost: () => ({ kind: "no-data", path: "simulated" }) as const,
	};
	const connected = link.connect(
		null,
		(events) => new BoardLink({ transport, clock, workingLimitAmpere: () => workingLimitAmpere }, events),
	);
	for (let i = 0; i < 100 && link.state.state !== "streaming"; i++) await clock.pass(200);
	await connected;
	expect(link.state.state).toBe("streaming");
	await clock.pass(300);
	const began = clock.now();
	let ended = 0;
	const ranging = finder.range(0, new AbortController().signal).then((drive) => {
		ended = clock.now();
		return drive;
	});
	for (let i = 0; i < 80 && ended === 0; i++) await clock.pass(50);
	const drive = await ranging;
	await clock.pass(200);
	const { currentMilliamp, gain } = link.bands.get(0)!.configuration;
	served.stop();
	const letGo = link.disconnect();
	await clock.pass(2000);
	await letGo;
	return {
		drive: drive!,
		seconds: (ended - began) / 1000,
		inForce: { currentMilliamp, gain },
		share,
		largestMilliamp,
	};
}

const contacts = [200, 500, 1000, 2000, 5000];
const gains = [1, 20, 200];

describe("a board that does as it is told", () => {
	test.each(contacts.flatMap((contactOhm) => gains.map((gain) => ({ contactOhm, gain }))))(
		"is set within 3 s through contacts of $contactOhm Ω from a gain of $gain",
		async ({ contactOhm, gain }) => {
			const { drive, seconds, inForce, share } = await range({ contactOhm, gain });
			expect(seconds).toBeLessThanOrEqual(3);
			expect(drive.outcome).toMatchObject({ verdict: "good", ...inForce });
			expect(inForce.currentMilliamp).toBe(1);
			expect(drive.outcome.reasons).toContain("current-at-limit");
			expect(share).toBeGreaterThan(aimedShare.least - 0.02);
			expect(share).toBeLessThan(aimedShare.most + 0.02);
		},
	);

	test("is never driven above a limit that was lowered, from its very first frame", async () => {
		const { inForce, largestMilliamp, drive } = await range({ gain: 5 }, 0.6e-3);
		expect(largestMilliamp).toBe(0.6);
		expect(inForce.currentMilliamp).toBe(0.6);
		expect(drive).toMatchObject({ limitMilliamp: 0.6, outcome: { verdict: "good" } });
	});

	test("that answers late is set in time all the same", async () => {
		const { drive, seconds } = await range({ gain: 3, answersAfter: 0.25 });
		expect(seconds).toBeLessThanOrEqual(3);
		expect(drive.outcome.verdict).not.toBe("failed");
	});
});

describe("a board that does not", () => {
	test("because it refuses a gain keeps it, and that is said", async () => {
		const { drive, inForce } = await range({ gain: 3, refuses: ["gain"] });
		expect(inForce.gain).toBe(3);
		expect(drive.outcome).toMatchObject({ verdict: "fair" });
		expect(drive.outcome.reasons).toContain("gain-refused");
	});

	test("because it refuses gain and saturates fails", async () => {
		const { drive } = await range({ gain: 200, refuses: ["gain", "current"] });
		expect(drive.outcome.verdict).toBe("failed");
		expect(drive.outcome.reasons).toEqual(
			expect.arrayContaining(["current-refused", "gain-refused", "still-clipped"]),
		);
	});

	test("because it refuses a current gets a gain for the one it has", async () => {
		const { drive, inForce } = await range({ gain: 5, currentMilliamp: 0.4, refuses: ["current"] });
		expect(inForce.currentMilliamp).toBe(0.4);
		expect(drive.outcome.verdict).toBe("good");
		expect(drive.outcome.reasons).toContain("current-refused");
	});

	test("because it answers after a second and more is given up within 3 s", async () => {
		const { drive, seconds } = await range({ gain: 5, answersAfter: 1.6 });
		expect(seconds).toBeLessThanOrEqual(3);
		expect(drive.outcome.verdict).toBe("failed");
		expect(drive.outcome.reasons).toContain("board-silent");
	});
});
