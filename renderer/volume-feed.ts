/**
 * Takes packets of volume pictures: keeps the newest, every one's means for the trends, and fetches the geometry. The
 * cross-section at a chosen height is offered as a picture feed of its own, so that it is drawn as any other.
 */
import type { PictureGeometry } from "../app/contract.ts";
import { PictureFlags, type PicturePacket, readPicturePacket } from "../core/wire/picture-packet.ts";
import type { Bridge, RequestFault } from "./bridge.ts";
import { type AutoRange, createAutoRange } from "./draw/auto-range.ts";
import { magnitudeBelow } from "./draw/magnitude.ts";
import { SMALLEST_RANGE } from "./draw/picture-view.ts";
import { createTrendRing, type TrendRing } from "./draw/trend-ring.ts";
import { createVolumeShape, sectionAt, type VolumeShape, valuesAt } from "./draw/volume-shape.ts";
import { addToTrends, fillTrends } from "./feed-trends.ts";
import type { PictureFeed } from "./picture-feed.ts";

/** An hour at 30 frames a second. */
const RING_CAPACITY = 108_000;
const BACKFILL_SECONDS = 3600;
const NOISE_TIMES = 6;
/** Share of nodes that may lie beyond the ends of the scale: those right at electrodes. */
const BEYOND = 0.01;

export interface VolumeFeed {
	/** What the newest packet is drawn on; null until it has been fetched. */
	readonly shape: VolumeShape | null;
	/** Of the shape above; null before the first. */
	readonly newest: PicturePacket | null;
	readonly fault: RequestFault | null;
	/** Ends of the one scale that volume and cross-section share. */
	readonly range: AutoRange;
	/** m; of the cross-section. */
	readonly height: number;
	setHeight(height: number): void;
	/** Standard deviations of trend regions at rest. */
	setNoise(noise: readonly number[]): void;
	readonly section: PictureFeed;
	/** Asks the app for volume pictures instead of sections. @returns what ends that */
	open(): () => void;
	/** The pipe was opened anew: what was asked for is to be asked again. */
	reopen(): void;
	reset(): void;
	take(buffer: ArrayBuffer): void;
	/** A new shape, height or range. */
	onChange(listener: () => void): () => void;
	onPicture(listener: () => void): () => void;
}

export function isVolumePacket(buffer: ArrayBuffer): boolean {
	return ((readPicturePacket(buffer)?.flags ?? 0) & PictureFlags.volume) !== 0;
}

export function createVolumeFeed(
	bridge: () => Pick<Bridge, "request" | "drawn" | "watch">,
	isHidden: () => boolean,
): VolumeFeed {
	const listeners = new Set<() => void>();
	const pictureListeners = new Set<() => void>();
	const range = createAutoRange(SMALLEST_RANGE["S/m"]);
	let shape: VolumeShape | null = null;
	let wanted = 0;
	let newest: PicturePacket | null = null;
	let noise: readonly number[] = [];
	let trends: TrendRing | null = null;
	let fault: RequestFault | null = null;
	let height = Number.NaN;
	let section: PictureGeometry | null = null;
	let sectionPacket: PicturePacket | null = null;
	let viewers = 0;
	let drawing = 0;
	let dealtWith = -1;

	function tell(whom: Set<() => void>): void {
		for (const listener of whom) listener();
	}

	function release(sequence: number): void {
		dealtWith = sequence;
		bridge().drawn(sequence);
	}

	function reset(): void {
		// Nobody will draw what still waits: untold, the app would hold back the pictures that follow.
		if (newest !== null && newest.sequence !== dealtWith) release(newest.sequence);
		shape = null;
		newest = null;
		trends = null;
		section = null;
		sectionPacket = null;
		wanted = 0;
		dealtWith = -1;
		fault = null;
		tell(listeners);
	}

	async function fetchShape(geometryId: number): Promise<void> {
		wanted = geometryId;
		const reply = await bridge().request("getVolumeGeometry", { geometryId });
		if (wanted !== geometryId) return;
		wanted = 0;
		if (!reply.ok) {
			fault = reply.error.kind === "connection-lost" ? null : reply.error;
			tell(listeners);
			return;
		}
		fault = null;
		shape = createVolumeShape(reply.value);
		if (newest?.geometryId !== geometryId) newest = null;
		const count = reply.value.regions.filter(({ trendIndex }) => trendIndex !== null).length;
		trends = count === 0 ? null : createTrendRing(count, RING_CAPACITY);
		// Where the first band sits, until somebody chooses otherwise.
		if (!(height >= shape.low && height <= shape.high)) height = reply.value.bandHeights[0]!;
		startRange();
		cutSection();
		// the picture that it was fetched for: of a replay that is paused there comes no other
		if (newest !== null) addToTrends(trends, newest);
		if (trends !== null) void backfill(trends);
		tell(listeners);
		tell(pictureListeners);
	}

	function startRange(): void {
		const sorted = [...noise].sort((a, b) => a - b);
		range.reset();
		range.setFloor(Math.max(SMALLEST_RANGE["S/m"], NOISE_TIMES * (sorted[sorted.length >> 1] ?? 0)));
		followRange();
	}

	/** @returns whether the newest values moved the scale */
	function followRange(): boolean {
		if (newest === null || newest.nodeValues.length !== shape?.nodeCount) return false;
		return range.update(magnitudeBelow(newest.nodeValues, BEYOND), newest.timeMicros / 1e6);
	}

	function cutSection(): void {
		section = shape === null ? null : sectionAt(shape, height, noise);
		fillSection();
	}

	/** The newest values at the height. */
	function fillSection(): void {
		sectionPacket = null;
		if (shape === null || newest === null) return;
		const nodeValues = new Float32Array(shape.geometry.nodesPerLevel);
		valuesAt(shape, height, newest.nodeValues, nodeValues);
		sectionPacket = { ...newest, nodeValues };
	}

	async function backfill(ring: TrendRing): Promise<void> {
		const reply = await bridge().request("getVolumeTrends", { seconds: BACKFILL_SECONDS });
		if (!reply.ok || ring !== trends || reply.value.regions.length !== ring.regionCount) return;
		fillTrends(ring, reply.value.seconds, reply.value.values);
		tell(pictureListeners);
	}

	const sectionFeed: PictureFeed = {
		get geometry() {
			return section;
		},
		get newest() {
			return sectionPacket;
		},
		get trends() {
			return trends;
		},
		get fault() {
			return fault;
		},
		setMode() {},
		reset,
		take() {},
		claimDrawing() {
			drawing++;
			let isEnded = false;
			return () => {
				if (isEnded) return;
				isEnded = true;
				drawing--;
				if (drawing === 0 && newest !== null) release(newest.sequence);
			};
		},
		presented(packet) {
			if (packet.sequence !== dealtWith) release(packet.sequence);
		},
		refill() {
			if (trends !== null) void backfill(trends);
		},
		onGeometry: (listener) => subscribe(listeners, listener),
		onPicture: (listener) => subscribe(pictureListeners, listener),
	};

	return {
		get shape() {
			return shape;
		},
		get newest() {
			return newest;
		},
		get fault() {
			return fault;
		},
		range,
		get height() {
			return height;
		},
		setHeight(next) {
			if (next === height || shape === null) return;
			height = Math.max(shape.low, Math.min(shape.high, next));
			cutSection();
			tell(listeners);
			tell(pictureListeners);
		},
		setNoise(next) {
			if (next.length === noise.length && next.every((value, i) => value === noise[i])) return;
			noise = next;
			startRange();
			if (shape === null) return;
			cutSection();
			tell(listeners);
		},
		section: sectionFeed,
		open() {
			viewers++;
			bridge().watch("volume");
			return () => {
				viewers--;
				if (viewers === 0) bridge().watch("sections");
			};
		},
		reopen() {
			if (viewers > 0) bridge().watch("volume");
		},
		reset,
		take(buffer) {
			const packet = readPicturePacket(buffer);
			if (packet === null) return;
			const id = packet.geometryId;
			if (id !== shape?.geometry.geometryId && id !== wanted) void fetchShape(id);
			newest = packet;
			addToTrends(trends, packet);
			if (id === shape?.geometry.geometryId && packet.nodeValues.length === shape.nodeCount) {
				if (followRange()) tell(listeners);
				fillSection();
			}
			if (drawing === 0 || isHidden() || id !== shape?.geometry.geometryId) release(packet.sequence);
			tell(pictureListeners);
		},
		onChange: (listener) => subscribe(listeners, listener),
		onPicture: (listener) => subscribe(pictureListeners, listener),
	};
}

function subscribe(listeners: Set<() => void>, listener: () => void): () => void {
	listeners.add(listener);
	return () => listeners.delete(listener);
}
