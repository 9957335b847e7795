import { describe, expect, test } from "vitest";
import type { ToRenderer } from "../../app/contract.ts";
import { createPage, type Pipe } from "../../app/hosts/page.ts";
import type { Backend } from "../../app/session/backend.ts";
import { PictureFlags, readPicturePacket } from "../../core/wire/picture-packet.ts";
import { createPacket, createPlainBackend, plainState } from "./plain-backend.ts";

function createOpenPage() {
	const backend = createPlainBackend();
	const messages: ToRenderer[] = [];
	const pictures: { sequence: number; flags: number }[] = [];
	const waiting: (() => void)[] = [];
	let now = 0;
	const pipe: Pipe = {
		post: (message) => messages.push(message),
		postPicture(bytes, sent) {
			const packet = readPicturePacket(bytes.buffer);
			if (packet === null) throw new Error("not a packet");
			pictures.push({ sequence: packet.sequence, flags: packet.flags });
			waiting.push(sent);
		},
	};
	const page = createPage(backend, pipe, () => now);
	const turn = (milliseconds: number): void => {
		now += milliseconds;
	};
	const replies = () => messages.filter((message) => message.type === "reply");
	const settled = () => new Promise<void>((resolve) => setImmediate(resolve));
	return { turn, backend, page, messages, pictures, waiting, replies, settled };
}

describe("a page", () => {
	test("is told the state when it opens and whenever it changes", () => {
		const { backend, messages } = createOpenPage();
		expect(messages).toEqual([{ type: "state", state: plainState }]);
		backend.pushState();
		expect(messages).toHaveLength(2);
	});

	test("gets each reply under the number of its request", async () => {
		const { page, replies, settled } = createOpenPage();
		page.receive({ type: "request", id: 7, name: "getGeometry", argument: { geometryId: 3 } });
		await settled();
		expect(replies()).toEqual([{ type: "reply", id: 7, reply: { ok: true, value: { geometryId: 3 } } }]);
	});

	test("says which records a request is about", async () => {
		const meant: (number | undefined)[] = [];
		const backend: Backend = {
			...createPlainBackend(),
			request(_name, argument, _signal, records) {
				meant.push(records);
				return Promise.resolve({ ok: true, value: argument } as never);
			},
		};
		const page = createPage(backend, { post: () => undefined, postPicture: () => undefined });
		page.receive({ type: "request", id: 1, name: "listPeople", argument: null, records: 4 });
		page.receive({ type: "request", id: 2, name: "listPeople", argument: null });
		expect(meant).toEqual([4, undefined]);
		expect(page.receive({ type: "request", id: 3, name: "listPeople", argument: null, records: "4" })).toBe(
			false,
		);
	});

	test("can abort a request, which then settles as cancelled", async () => {
		const { page, replies, settled } = createOpenPage();
		page.receive({ type: "request", id: 1, name: "listPorts", argument: null });
		page.receive({ type: "abort", id: 1 });
		await settled();
		expect(replies()).toEqual([{ type: "reply", id: 1, reply: { ok: false, error: { kind: "cancelled" } } }]);
	});

	test.each([
		["no object", 3],
		["nothing", null],
		["an unknown type", { type: "eval", code: "1" }],
		["an unknown request", { type: "request", id: 1, name: "constructor", argument: null }],
		["a request without a number", { type: "request", name: "getState", argument: null }],
		["a number that is none", { type: "abort", id: Number.NaN }],
	])("says that it does not understand %s", (_, message) => {
		const { page, backend } = createOpenPage();
		expect(page.receive(message)).toBe(false);
		expect(backend.asked).toEqual([]);
	});

	test("refuses a number that is under way, and more requests than a page can need", async () => {
		const { page, replies } = createOpenPage();
		for (let id = 0; id < 64; id++) {
			expect(page.receive({ type: "request", id, name: "listPorts", argument: null })).toBe(true);
		}
		expect(page.receive({ type: "request", id: 5, name: "listPorts", argument: null })).toBe(false);
		expect(page.receive({ type: "request", id: 64, name: "listPorts", argument: null })).toBe(true);
		expect(replies()).toMatchObject([{ id: 64, reply: { ok: false, error: { kind: "internal" } } }]);
	});

	test("stops listening and posting once it is gone", async () => {
		const { page, backend, messages, settled } = createOpenPage();
		page.receive({ type: "request", id: 1, name: "listPorts", argument: null });
		page.dispose();
		page.dispose();
		await settled();
		backend.pushState();
		expect(messages).toHaveLength(1);
		expect(backend.listenerCount).toBe(0);
	});
});

describe("pictures for a page", () => {
	test("are never more than two under way, and the newest one follows", () => {
		const { backend, page, pictures } = createOpenPage();
		for (let sequence = 1; sequence <= 10; sequence++) backend.pushPicture(createPacket(sequence));
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2]);
		page.receive({ type: "drawn", sequence: 1 });
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2, 10]);
		page.receive({ type: "drawn", sequence: 1 });
		expect(pictures).toHaveLength(3);
	});

	test("count as drawn with every picture drawn after them", () => {
		const { backend, page, pictures } = createOpenPage();
		for (const sequence of [1, 2, 3]) backend.pushPicture(createPacket(sequence));
		page.receive({ type: "drawn", sequence: 2 });
		backend.pushPicture(createPacket(4));
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2, 3, 4]);
	});

	test("pass on the marks of those that were skipped", () => {
		const { backend, page, pictures } = createOpenPage();
		backend.pushPicture(createPacket(1));
		backend.pushPicture(createPacket(2));
		backend.pushPicture(createPacket(3, PictureFlags.restart | PictureFlags.simulated));
		backend.pushPicture(createPacket(4, PictureFlags.afterGap));
		backend.pushPicture(createPacket(5));
		page.receive({ type: "drawn", sequence: 2 });
		expect(pictures.at(-1)).toEqual({ sequence: 5, flags: PictureFlags.restart | PictureFlags.afterGap });
	});

	test("go on when a page has missed to tell of some", () => {
		const { backend, page, pictures, turn } = createOpenPage();
		for (const sequence of [1, 2, 3]) backend.pushPicture(createPacket(sequence));
		turn(2500);
		backend.pushPicture(createPacket(4));
		backend.pushPicture(createPacket(5));
		backend.pushPicture(createPacket(6));
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2, 4, 5]);
		page.receive({ type: "drawn", sequence: 5 });
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2, 4, 5, 6]);
	});

	test("of one frame, made again, are told of once", () => {
		const { backend, page, pictures } = createOpenPage();
		backend.pushPicture(createPacket(1));
		page.receive({ type: "drawn", sequence: 1 });
		for (let i = 0; i < 3; i++) backend.pushPicture(createPacket(1));
		backend.pushPicture(createPacket(2));
		expect(pictures.at(-1)?.sequence).toBe(2);
	});

	test("do not reuse a buffer that the host still holds", () => {
		const { backend, page, pictures, waiting } = createOpenPage();
		backend.pushPicture(createPacket(1));
		page.receive({ type: "drawn", sequence: 1 });
		backend.pushPicture(createPacket(2));
		page.receive({ type: "drawn", sequence: 2 });
		for (const sent of waiting.splice(0)) sent();
		backend.pushPicture(createPacket(3, 0, 9));
		backend.pushPicture(createPacket(4));
		expect(pictures.map((p) => p.sequence)).toEqual([1, 2, 3, 4]);
	});
});

describe("what a page watches", () => {
	test("is sections until it says so, then volumes, and sections again", () => {
		const { backend, page, pictures } = createOpenPage();
		backend.pushPicture(createPacket(1));
		backend.pushPicture(createPacket(2), true);
		expect(page.receive({ type: "watch", what: "volume" })).toBe(true);
		backend.pushPicture(createPacket(3));
		backend.pushPicture(createPacket(4), true);
		page.receive({ type: "watch", what: "sections" });
		backend.pushPicture(createPacket(5), true);
		backend.pushPicture(createPacket(6));
		expect(pictures.map(({ sequence }) => sequence)).toEqual([1, 4, 6]);
	});

	test("asks for volumes once however often it says so, and no more when it is closed", () => {
		const { backend, page } = createOpenPage();
		page.receive({ type: "watch", what: "volume" });
		page.receive({ type: "watch", what: "volume" });
		expect(backend.watching).toBe(1);
		page.dispose();
		page.dispose();
		expect(backend.watching).toBe(0);
	});

	test("does not wait for pictures that it has turned away from", () => {
		const { backend, page, pictures } = createOpenPage();
		for (const sequence of [1, 2, 3]) backend.pushPicture(createPacket(sequence));
		expect(pictures).toHaveLength(2);
		page.receive({ type: "watch", what: "volume" });
		backend.pushPicture(createPacket(4), true);
		expect(pictures.at(-1)!.sequence).toBe(4);
	});

	test("is one of two: anything else is none of ours", () => {
		expect(createOpenPage().page.receive({ type: "watch", what: "everything" })).toBe(false);
	});
});
