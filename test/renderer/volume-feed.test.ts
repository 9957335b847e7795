import { describe, expect, test } from "vitest";
import type { Trends } from "../../app/contract.ts";
import { failure, success } from "../../core/result.ts";
import { PictureFlags, picturePacketBytes, writePictureHeader } from "../../core/wire/picture-packet.ts";
import { createVolumeFeed, isVolumePacket } from "../../renderer/volume-feed.ts";
import { createVolume } from "./create-volume.ts";

const geometry = createVolume({ bandHeights: [0.2, 0.16] });
const nodeCount = geometry.levels.length * geometry.nodesPerLevel;

interface PacketPart {
	readonly flags?: number;
	readonly seconds?: number;
	readonly geometryId?: number;
	/** Value at each node of a level. */
	readonly valueAt?: (level: number) => number;
}

function createPacket(sequence: number, part: PacketPart = {}): ArrayBuffer {
	const buffer = new ArrayBuffer(picturePacketBytes(3, nodeCount));
	writePictureHeader(buffer, {
		geometryId: part.geometryId ?? 1,
		sequence,
		bandIndex: 0,
		flags: PictureFlags.volume | (part.flags ?? 0),
		timeMicros: (part.seconds ?? sequence / 10) * 1e6,
		receivedAt: 0,
		nRegions: 3,
		nNodes: nodeCount,
	});
	const numbers = new Float32Array(buffer, 40);
	numbers.fill(0.001 * sequence, 0, 3);
	for (let i = 0; i < nodeCount; i++)
		numbers[3 + i] = (part.valueAt ?? (() => 0.01))(Math.floor(i / geometry.nodesPerLevel));
	return buffer;
}

function createFixture() {
	const drawn: number[] = [];
	const watched: string[] = [];
	const asked: string[] = [];
	let isKnown = true;
	let trends: Trends = { regions: [], seconds: [], values: [] };
	const feed = createVolumeFeed(
		() => ({
			drawn: (sequence) => drawn.push(sequence),
			watch: (what) => watched.push(what),
			request: (async (name: string, argument: { geometryId: number }) => {
				asked.push(name);
				if (name !== "getVolumeGeometry") return success(trends);
				if (!isKnown) return failure({ kind: "internal", detail: "gone" });
				return success({ ...geometry, geometryId: argument.geometryId });
			}) as never,
		}),
		() => false,
	);
	return {
		feed,
		drawn,
		watched,
		asked,
		forget: () => {
			isKnown = false;
		},
		answerTrends: (next: Trends) => {
			trends = next;
		},
		async shown(...packets: ArrayBuffer[]) {
			for (const packet of packets) feed.take(packet);
			for (let i = 0; i < 12; i++) await Promise.resolve();
		},
	};
}

test("packets of volumes are told from those of sections", () => {
	expect(isVolumePacket(createPacket(1))).toBe(true);
	const section = new ArrayBuffer(picturePacketBytes(0, 0));
	const nothing = {
		geometryId: 1,
		sequence: 0,
		bandIndex: 0,
		timeMicros: 0,
		receivedAt: 0,
		nRegions: 0,
		nNodes: 0,
	};
	writePictureHeader(section, { ...nothing, flags: 0 });
	expect(isVolumePacket(section)).toBe(false);
	expect(isVolumePacket(new ArrayBuffer(3))).toBe(false);
});

describe("the geometry", () => {
	test("is fetched once, and what waits for it is dealt with", async () => {
		const { feed, asked, drawn, shown } = createFixture();
		await shown(createPacket(1), createPacket(2));
		expect(asked.filter((name) => name === "getVolumeGeometry")).toHaveLength(1);
		expect(drawn).toEqual([1, 2]);
		expect(feed.shape?.geometry.geometryId).toBe(1);
		expect(feed.height).toBe(0.2);
	});

	test("that the app does not know any more is a fault to be shown", async () => {
		const { feed, forget, shown } = createFixture();
		forget();
		await shown(createPacket(1));
		expect(feed.fault).toEqual({ kind: "internal", detail: "gone" });
	});
});

describe("the cross-section", () => {
	test("follows the height between the levels, and stays within the limb", async () => {
		const { feed, shown } = createFixture();
		const valueAt = (level: number): number => geometry.levels[level]!;
		await shown(createPacket(1), createPacket(2, { valueAt }));
		feed.take(createPacket(3, { valueAt }));
		for (const height of [0.2, 0.1734]) {
			feed.setHeight(height);
			for (const value of feed.section.newest!.nodeValues) expect(value).toBeCloseTo(height, 6);
		}
		feed.setHeight(9);
		expect(feed.height).toBe(feed.shape!.high);
	});

	test("has the electrodes of the band where it is, and the volume's noise", async () => {
		const { feed, shown } = createFixture();
		feed.setNoise([0.1, 0.2, 0.3]);
		await shown(createPacket(1));
		feed.setHeight(0.158);
		expect(feed.section.geometry).toMatchObject({ bandIndex: 1, regionNoise: [0.1, 0.2, 0.3] });
		expect(feed.section.geometry!.electrodes).toHaveLength(4);
	});

	test("tells that it was drawn once only, and what nobody draws is told at once", async () => {
		const { feed, drawn, shown } = createFixture();
		await shown(createPacket(1));
		const end = feed.section.claimDrawing();
		feed.take(createPacket(2));
		expect(drawn).toEqual([1]);
		feed.section.presented(feed.section.newest!);
		feed.setHeight(0.17);
		feed.section.presented(feed.section.newest!);
		expect(drawn).toEqual([1, 2]);
		end();
		feed.take(createPacket(3));
		expect(drawn.at(-1)).toBe(3);
	});
});

test("the scale is the whole volume's, never below six times the noise at rest", async () => {
	const { feed, shown } = createFixture();
	feed.setNoise([0.001, 0.001, 0.001]);
	await shown(createPacket(1, { valueAt: () => 0.001 }));
	expect(feed.range.value).toBeCloseTo(0.01);
	feed.take(createPacket(2, { valueAt: (level) => (level === 0 ? 0.3 : 0) }));
	expect(feed.range.value).toBeGreaterThanOrEqual(0.3);
});

test("the scale holds the first picture, too: of a paused replay there comes no other", async () => {
	const { feed, shown } = createFixture();
	await shown(createPacket(1, { valueAt: () => 0.04 }));
	expect(feed.range.value).toBeGreaterThanOrEqual(0.04);
	feed.setNoise([0.001, 0.001, 0.001]);
	expect(feed.range.value).toBeGreaterThanOrEqual(0.04);
});

describe("lines", () => {
	test("begin with what the app has, break at gaps, and begin anew on a restart", async () => {
		const { feed, answerTrends, shown } = createFixture();
		answerTrends({
			regions: [0, 1, 2].map((i) => ({ id: `${i}`, name: `${i}` })),
			seconds: [0, 0.05],
			values: [
				[1, 2],
				[3, null],
				[5, 6],
			],
		});
		await shown(createPacket(1));
		const ring = feed.section.trends!;
		expect([ring.valueAt(0, ring.first), ring.valueAt(2, ring.first + 1)]).toEqual([1, 6]);
		// what the app had, the picture that the shape was fetched for, a gap, and the next
		feed.take(createPacket(2, { flags: PictureFlags.newRest }));
		expect(ring.end - ring.first).toBe(5);
		feed.take(createPacket(3, { flags: PictureFlags.restart }));
		expect(ring.end - ring.first).toBe(1);
	});
});

describe("the app is asked for volumes", () => {
	test("while somebody looks, and again over a new pipe", () => {
		const { feed, watched } = createFixture();
		feed.reopen();
		const one = feed.open();
		feed.reopen();
		one();
		feed.reopen();
		expect(watched).toEqual(["volume", "volume", "sections"]);
	});
});
