import { beforeEach, describe, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { success } from "../../core/result.ts";
import { type Bridge, type Connection, createBridge } from "../../renderer/bridge.ts";
import { createMemoryApp, type MemoryApp } from "./memory-pipe.ts";

interface Fixture {
	readonly app: MemoryApp;
	readonly bridge: Bridge;
	readonly connections: Connection[];
	readonly pictures: ArrayBuffer[];
	readonly states: unknown[];
	/** Pauses asked for and not called off. */
	readonly waits: { milliseconds: number; task: () => void }[];
}

function createFixture(): Fixture {
	const app = createMemoryApp();
	const connections: Connection[] = [];
	const pictures: ArrayBuffer[] = [];
	const states: unknown[] = [];
	const waits: Fixture["waits"] = [];
	const bridge = createBridge(
		(events) => app.openPipe(events),
		{
			onState: (state) => states.push(state),
			onPicture: (packet) => pictures.push(packet),
			onConnection: (connection) => connections.push(connection),
		},
		(task, milliseconds) => {
			const wait = { milliseconds, task };
			waits.push(wait);
			return () => {
				if (waits.includes(wait)) waits.splice(waits.indexOf(wait), 1);
			};
		},
	);
	return { app, bridge, connections, pictures, states, waits };
}

/** Lets promises that are already settled run. */
async function settle(): Promise<void> {
	for (let i = 0; i < 5; i++) await Promise.resolve();
}

async function runNextWait({ waits }: Fixture): Promise<number> {
	const wait = waits.shift();
	if (wait === undefined) throw new Error("nothing waits");
	wait.task();
	await settle();
	return wait.milliseconds;
}

let fixture: Fixture;
beforeEach(async () => {
	fixture = createFixture();
	await settle();
});

describe("requests", () => {
	test("come back with the reply of their own number, whatever the order", async () => {
		const { app, bridge } = fixture;
		const ports = bridge.request("listPorts", null);
		const people = bridge.request("listPeople", null);
		const [first, second] = app.received;
		expect(first).toMatchObject({ type: "request", name: "listPorts", argument: null });
		if (first?.type !== "request" || second?.type !== "request") throw new Error("no requests");
		app.send({ type: "reply", id: second.id, reply: success([]) });
		app.send({ type: "reply", id: first.id, reply: success({ ports: [], note: null }) });
		expect(await people).toEqual(success([]));
		expect(await ports).toEqual(success({ ports: [], note: null }));
	});

	test("settle at once when aborted, tell the app, and ignore a late reply", async () => {
		const { app, bridge } = fixture;
		const controller = new AbortController();
		const pending = bridge.request("takeBaseline", { seconds: 5 }, controller.signal);
		const request = app.received[0];
		if (request?.type !== "request") throw new Error("no request");
		controller.abort();
		expect(await pending).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(app.received[1]).toEqual({ type: "abort", id: request.id });
		app.send({ type: "reply", id: request.id, reply: success(null) });
	});

	test("are not sent when aborted before", async () => {
		const { app, bridge } = fixture;
		const controller = new AbortController();
		controller.abort();
		const outcome = await bridge.request("disconnect", null, controller.signal);
		expect(outcome).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(app.received).toEqual([]);
	});

	test("leave no listener on the signal after a reply", async () => {
		const { app, bridge } = fixture;
		const controller = new AbortController();
		const pending = bridge.request("disconnect", null, controller.signal);
		const request = app.received[0];
		if (request?.type !== "request") throw new Error("no request");
		app.send({ type: "reply", id: request.id, reply: success(null) });
		await pending;
		controller.abort();
		expect(app.received).toHaveLength(1);
	});

	test("settle when the connection is lost, and fail at once while it is", async () => {
		const { app, bridge } = fixture;
		const pending = bridge.request("listPeople", null);
		app.cut();
		expect(await pending).toEqual({ ok: false, error: { kind: "connection-lost" } });
		expect(await bridge.request("listPeople", null)).toEqual({
			ok: false,
			error: { kind: "connection-lost" },
		});
	});

	test("settle when the bridge is disposed, which is safe twice and closes the pipe", async () => {
		const { app, bridge, states } = fixture;
		const pending = bridge.request("listPeople", null);
		bridge.dispose();
		bridge.dispose();
		expect(await pending).toEqual({ ok: false, error: { kind: "cancelled" } });
		app.sendBinary(new ArrayBuffer(4));
		expect(states).toEqual([]);
		expect(fixture.pictures).toEqual([]);
	});
});

test("requests say which records they are about, once that is known", () => {
	const { app, bridge } = fixture;
	void bridge.request("listPeople", null);
	app.send({ type: "state", state: { records: { number: 3 } } as AppState });
	void bridge.request("listPeople", null);
	expect(app.received.map((message) => (message.type === "request" ? message.records : null))).toEqual([
		undefined,
		3,
	]);
});

describe("the connection", () => {
	test("is opened again after growing pauses, and the pauses start afresh once it holds", async () => {
		const { app, connections } = fixture;
		expect(connections).toEqual(["opening", "open"]);
		app.cut();
		app.isGone = "absent";
		const pauses = [];
		for (let i = 0; i < 7; i++) pauses.push(await runNextWait(fixture));
		expect(pauses).toEqual([250, 500, 1000, 2000, 4000, 4000, 4000]);
		app.isGone = null;
		await runNextWait(fixture);
		expect(connections.at(-1)).toBe("open");
		app.cut();
		expect(fixture.waits.map((wait) => wait.milliseconds)).toEqual([250]);
	});

	test("carries requests again once it is back", async () => {
		const { app, bridge } = fixture;
		app.cut();
		await runNextWait(fixture);
		expect(app.openCount).toBe(2);
		const pending = bridge.request("listPeople", null);
		const request = app.received[0];
		if (request?.type !== "request") throw new Error("no request");
		app.send({ type: "reply", id: request.id, reply: success([]) });
		expect(await pending).toEqual(success([]));
	});

	test("counts as closed after a while without an answer, is still tried, and comes back", async () => {
		const { app, connections } = fixture;
		app.cut();
		app.isGone = "absent";
		for (let i = 0; i < 4; i++) await runNextWait(fixture);
		expect(connections.at(-1)).toBe("lost");
		await runNextWait(fixture);
		expect(connections.at(-1)).toBe("closed");
		app.isGone = null;
		await runNextWait(fixture);
		expect(connections.at(-1)).toBe("open");
	});

	test("counts as closed at once when the app that answers does not know the page", async () => {
		const { app, connections } = fixture;
		app.cut();
		app.isGone = "refused";
		await runNextWait(fixture);
		expect(connections.at(-1)).toBe("closed");
		expect(fixture.waits).toHaveLength(1);
	});

	test("is not opened again after disposal", async () => {
		const { app, bridge, waits } = fixture;
		app.cut();
		bridge.dispose();
		expect(waits).toEqual([]);
		expect(app.openCount).toBe(1);
	});
});

test("pictures arrive as they are, and what was drawn is told", () => {
	const { app, bridge, pictures } = fixture;
	const packet = new ArrayBuffer(8);
	app.sendBinary(packet);
	expect(pictures).toEqual([packet]);
	bridge.drawn(7);
	bridge.watch("volume");
	expect(app.received).toEqual([
		{ type: "drawn", sequence: 7 },
		{ type: "watch", what: "volume" },
	]);
});
