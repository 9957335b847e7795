import { beforeEach, describe, expect, test } from "vitest";
import type { PictureGeometry, Trends } from "../../app/contract.ts";
import { success } from "../../core/result.ts";
import { PictureFlags, picturePacketBytes, writePictureHeader } from "../../core/wire/picture-packet.ts";
import { createLatencyLog } from "../../renderer/draw/latency.ts";
import { createPictureFeed } from "../../renderer/picture-feed.ts";

function createGeometry(geometryId: number): PictureGeometry {
	const region = (id: string, trendIndex: number | null) => ({
		id,
		name: id,
		tissue: "muscle" as const,
		trendIndex,
		outline: [],
	});
	return {
		geometryId,
		bandIndex: 0,
		nodes: [0, 0, 1, 0, 0, 1],
		triangles: [0, 1, 2],
		skin: [],
		electrodes: [],
		regions: [region("fat", null), region("a", 0), region("b", 1)],
		side: "left",
		unit: "S/m",
		prior: "diagonal",
		rule: "noise-figure",
		lambdaByHand: null,
		allowsMovement: false,
		lambda: 1,
		noiseFigure: 0.5,
		regionNoise: [null, null],
	};
}

function createPacket(
	sequence: number,
	part: { geometryId?: number; flags?: number; seconds?: number } = {},
) {
	const buffer = new ArrayBuffer(picturePacketBytes(2, 3));
	writePictureHeader(buffer, {
		geometryId: part.geometryId ?? 1,
		sequence,
		bandIndex: 0,
		flags: part.flags ?? 0,
		timeMicros: (part.seconds ?? sequence / 10) * 1e6,
		receivedAt: 1000 + sequence,
		nRegions: 2,
		nNodes: 3,
	});
	new Float32Array(buffer, 40).fill(sequence);
	return buffer;
}

function createFixture() {
	const drawn: number[] = [];
	const asked: string[] = [];
	const latencies = createLatencyLog(16);
	let isHidden = false;
	let trends: Trends = { regions: [], seconds: [], values: [] };
	const feed = createPictureFeed({
		bridge: () => ({
			drawn: (sequence) => drawn.push(sequence),
			request: (async (name: string, argument: { geometryId: number }) => {
				asked.push(name);
				return success(name === "getGeometry" ? createGeometry(argument.geometryId) : trends);
			}) as never,
		}),
		latencies,
		now: () => 1100,
		isHidden: () => isHidden,
	});
	return {
		feed,
		drawn,
		asked,
		latencies,
		hide: () => {
			isHidden = true;
		},
		answerTrends: (next: Trends) => {
			trends = next;
		},
	};
}

async function settle(): Promise<void> {
	for (let i = 0; i < 8; i++) await Promise.resolve();
}

let fixture: ReturnType<typeof createFixture>;
beforeEach(() => {
	fixture = createFixture();
});

test("forgetting a picture that waits to be drawn lets the app send the next ones", async () => {
	const { feed, drawn } = createFixture();
	feed.claimDrawing();
	feed.take(createPacket(5));
	await new Promise((resolve) => setImmediate(resolve));
	feed.take(createPacket(6));
	const before = drawn.length;
	feed.reset();
	expect(drawn.slice(before)).toEqual([6]);
	feed.reset();
	expect(drawn.slice(before)).toEqual([6]);
});

describe("pictures", () => {
	test("nobody draws are let go at once", () => {
		fixture.feed.take(createPacket(1));
		expect(fixture.drawn).toEqual([1]);
	});

	test("that are drawn are told once, when they are on the screen, with their latency", async () => {
		const { feed, drawn, latencies } = fixture;
		feed.take(createPacket(1));
		await settle();
		feed.claimDrawing();
		feed.take(createPacket(2));
		feed.take(createPacket(3));
		expect(drawn).toEqual([1]);
		feed.presented(feed.newest!);
		feed.presented(feed.newest!);
		expect(drawn).toEqual([1, 3]);
		expect([...latencies.recent()]).toEqual([1100 - 1003]);
	});

	test("are let go while the page is out of sight", async () => {
		const { feed, drawn, hide } = fixture;
		feed.take(createPacket(1));
		await settle();
		feed.claimDrawing();
		hide();
		feed.take(createPacket(2));
		expect(drawn).toEqual([1, 2]);
	});

	test("left undrawn are let go when drawing ends", async () => {
		const { feed, drawn } = fixture;
		feed.take(createPacket(1));
		await settle();
		const end = feed.claimDrawing();
		feed.take(createPacket(2));
		end();
		end();
		expect(drawn).toEqual([1, 2]);
	});

	test("of a replay and of the live stream do not mix", async () => {
		const { feed, drawn } = fixture;
		feed.take(createPacket(1, { flags: PictureFlags.replay }));
		expect(feed.newest).toBeNull();
		expect(drawn).toEqual([1]);
		feed.setMode("replay");
		feed.take(createPacket(2));
		expect(feed.newest).toBeNull();
		feed.take(createPacket(3, { flags: PictureFlags.replay }));
		expect(feed.newest?.sequence).toBe(3);
	});

	test("fetch their geometry once, and again when it changes", async () => {
		const { feed, asked } = fixture;
		feed.take(createPacket(1));
		feed.take(createPacket(2));
		await settle();
		expect(asked.filter((name) => name === "getGeometry")).toHaveLength(1);
		expect(feed.geometry?.geometryId).toBe(1);
		feed.take(createPacket(3, { geometryId: 2 }));
		await settle();
		expect(feed.geometry?.geometryId).toBe(2);
	});

	test("that are none are left alone", () => {
		fixture.feed.take(new ArrayBuffer(12));
		expect(fixture.feed.newest).toBeNull();
	});
});

describe("trends", () => {
	async function begin() {
		fixture.feed.take(createPacket(1));
		await settle();
		return fixture.feed.trends!;
	}

	test("hold every packet's region means, of the one too that the geometry was fetched for", async () => {
		const ring = await begin();
		for (let sequence = 2; sequence < 6; sequence++) fixture.feed.take(createPacket(sequence));
		expect(ring.end - ring.first).toBe(5);
		expect(ring.valueAt(1, ring.end - 1)).toBe(5);
	});

	test("break after lost frames", async () => {
		const ring = await begin();
		fixture.feed.take(createPacket(2));
		fixture.feed.take(createPacket(5, { flags: PictureFlags.afterGap }));
		expect(ring.valueAt(0, ring.end - 2)).toBeNaN();
	});

	test("start afresh after a new baseline, and when time goes back", async () => {
		const ring = await begin();
		fixture.feed.take(createPacket(2));
		fixture.feed.take(createPacket(3, { flags: PictureFlags.restart }));
		expect(ring.end - ring.first).toBe(1);
		fixture.feed.take(createPacket(4));
		fixture.feed.take(createPacket(5, { seconds: 0 }));
		expect(ring.end - ring.first).toBe(1);
	});

	test("of a page that opens late begin with what the app kept, without doubles", async () => {
		fixture.answerTrends({
			regions: [
				{ id: "a", name: "a" },
				{ id: "b", name: "b" },
			],
			seconds: [0.1, 0.2, 0.3],
			values: [
				[1, null, 3],
				[1, 2, 3],
			],
		});
		fixture.feed.take(createPacket(1));
		await settle();
		const ring = fixture.feed.trends!;
		fixture.feed.take(createPacket(4));
		fixture.feed.refill();
		fixture.feed.take(createPacket(5));
		await settle();
		const seconds = Array.from({ length: ring.end - ring.first }, (_, i) => ring.secondsAt(ring.first + i));
		expect(seconds).toEqual([0.1, 0.2, 0.3, 0.4, 0.5]);
		expect(ring.valueAt(0, ring.first + 1)).toBeNaN();
	});

	test("are forgotten with the connection", async () => {
		await begin();
		fixture.feed.reset();
		expect(fixture.feed.trends).toBeNull();
		expect(fixture.feed.geometry).toBeNull();
	});
});
