/** A board that prints numbers in its own way, live and from a recorded log. */
import { type Duplex, duplexPair } from "node:stream";
import { afterEach, describe, expect, test } from "vitest";
import type { Fault, LinkState } from "../../app/contract.ts";
import { createLogTransport } from "../../app/link/log-transport.ts";
import { ProfileLink, type ProfileLinkOptions } from "../../app/link/profile-link.ts";
import type { Transport } from "../../app/link/transport.ts";
import { failure, success } from "../../core/result.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import { createProfile } from "../wire/profile/create-profile.ts";
import { FakeClock } from "./fake-clock.ts";

const profile = createProfile({ time: { column: 0, unit: "ms" }, readings: { kind: "run", first: 1 } });
const values = Array.from({ length: 40 }, (_, i) => i + 0.5);
const line = (ms: number) => `${ms},${values.join(",")}\n`;

const opened: ProfileLink[] = [];
afterEach(async () => {
	for (const link of opened.splice(0)) await link.dispose();
});

function createLink(
	options: Omit<ProfileLinkOptions, "clock" | "profile"> & Partial<ProfileLinkOptions>,
	clock: FakeClock,
) {
	const states: LinkState[] = [];
	const configurations: DriveConfiguration[] = [];
	const frames: { values: number[]; timeMicros: number; receivedAt: number }[] = [];
	const boards: string[] = [];
	const link = new ProfileLink(
		{ profile, clock, ...options },
		{
			onState: (state) => states.push(state),
			onBoard: ({ board }) => boards.push(board),
			onConfiguration: (configuration) => configurations.push(configuration),
			onFrame: (frame, receivedAt) =>
				frames.push({ values: [...frame.values], timeMicros: frame.timeMicros, receivedAt }),
			onContacts: () => {},
			onStatus: () => {},
		},
	);
	opened.push(link);
	return { link, states, configurations, frames, boards, last: () => states.at(-1)! };
}

/** A port whose far end a test holds. */
function createPort() {
	const wires: Duplex[] = [];
	const faults: Fault[] = [];
	const transport: Transport = {
		label: "paper",
		open: async () => {
			const fault = faults.shift();
			if (fault !== undefined) return failure(fault);
			const [stream, wire] = duplexPair();
			wires.push(wire);
			const close = async () => void stream.destroy();
			return success({ stream, close });
		},
		lost: () => ({ kind: "no-such-port", path: "paper" }),
	};
	return { transport, wires, faults, say: (text: string) => wires.at(-1)!.write(text) };
}

describe("a live board", () => {
	test("is there with its first frame, with what its profile states", async () => {
		const clock = new FakeClock();
		const port = createPort();
		const { link, states, frames, boards, configurations } = createLink({ transport: port.transport }, clock);
		await link.open();
		port.say(`9,9\n${line(100)}`);
		port.say(line(120));
		await clock.pass(10);
		expect(states.map(({ state }) => state)).toEqual(["opening", "waiting-for-board", "streaming"]);
		expect(boards).toEqual(["Plain"]);
		expect(configurations).toMatchObject([{ electrodeCount: 8, currentMilliamp: 1, voltsPerUnit: 1e-3 }]);
		expect(frames.map((frame) => frame.values)).toEqual([values, values]);
		expect(frames[1]!.timeMicros - frames[0]!.timeMicros).toBe(20_000);
		expect(link.counters()).toMatchObject({ frames: 2, lost: 0 });
	});

	test("is not opened when its profile states a current above the limit", async () => {
		const clock = new FakeClock();
		const port = createPort();
		const strong = createProfile({ drive: { currentMilliamp: 2, frequencyHertz: 50_000 } });
		const { link, last } = createLink({ transport: port.transport, profile: strong }, clock);
		await link.open();
		expect(last()).toMatchObject({ state: "failed", fault: { kind: "over-current-limit" } });
		expect(port.wires.length).toBe(0);
	});

	test("takes no commands", async () => {
		const { link } = createLink({ transport: createPort().transport }, new FakeClock());
		expect(await link.send({ command: "start" })).toEqual(
			failure({ kind: "takes-no-commands", command: "start" }),
		);
	});

	test.each([
		["nothing comes", "", "no-data"],
		["other lines come", "hello\n1,2,3\nworld\n", "profile-does-not-fit"],
	])("fails when %s", async (_, text, kind) => {
		const clock = new FakeClock();
		const port = createPort();
		const { link, last } = createLink({ transport: port.transport }, clock);
		await link.open();
		if (text !== "") port.say(text);
		await clock.pass(11_000);
		expect(last()).toMatchObject({ state: "failed", fault: { kind } });
	});

	test("comes back after the cable was out, and is not announced as another", async () => {
		const clock = new FakeClock();
		const port = createPort();
		const { link, last, frames, boards } = createLink({ transport: port.transport }, clock);
		await link.open();
		port.say(line(0));
		await clock.pass(10);
		port.faults.push({ kind: "no-such-port", path: "paper" });
		port.wires[0]!.destroy();
		await clock.pass(10);
		expect(last()).toMatchObject({ state: "reconnecting", attempt: 1 });
		await clock.pass(1000);
		port.say(line(900));
		await clock.pass(10);
		expect(last().state).toBe("streaming");
		expect(frames.length).toBe(2);
		expect(boards.length).toBe(1);
	});

	test("is waited for when it falls silent", async () => {
		const clock = new FakeClock();
		const port = createPort();
		const { link, last } = createLink({ transport: port.transport }, clock);
		await link.open();
		port.say(line(0));
		await clock.pass(4000);
		expect(last().state).toBe("reconnecting");
	});
});

describe("a recorded log", () => {
	const log = (text: string) => Buffer.from(text);
	const linkOf = (text: string, clock: FakeClock, framesPerSecond = 20, one = profile) =>
		createLink(
			{
				transport: createLogTransport("log.txt", log(text), one, framesPerSecond, clock),
				profile: one,
				isRecording: true,
			},
			clock,
		);

	test("plays at the pace of its own clock, and stops at its end", async () => {
		const clock = new FakeClock();
		const { link, frames, last, boards } = linkOf(
			`# made up\n${[0, 50, 300].map(line).join("")}`.trimEnd(),
			clock,
		);
		await link.open();
		await clock.pass(40);
		expect(frames.length).toBe(1);
		await clock.pass(200);
		expect(frames.length).toBe(2);
		expect(last().state).toBe("streaming");
		await clock.pass(100);
		expect(frames.length).toBe(3);
		expect(last().state).toBe("stopped");
		expect(boards).toEqual(["Plain, recorded log"]);
	});

	test("plays evenly where it tells no time", async () => {
		const clock = new FakeClock();
		const untimed = createProfile();
		const { link, frames } = linkOf(`${values.join(",")}\n`.repeat(5), clock, 10, untimed);
		await link.open();
		await clock.pass(250);
		expect(frames.length).toBe(3);
	});

	test("says that its profile does not fit", async () => {
		const clock = new FakeClock();
		const { link, last } = linkOf("a b c\nd e f\n", clock);
		await link.open();
		await clock.pass(100);
		expect(last()).toMatchObject({ state: "failed", fault: { kind: "profile-does-not-fit" } });
	});
});
