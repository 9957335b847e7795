/**
 * Takes picture packets as they arrive: keeps the newest for the picture, every one's region means for the trends, and
 * fetches the geometry that they refer to. Tells the app when a picture has been dealt with.
 */
import type { PictureGeometry } from "../app/contract.ts";
import { PictureFlags, type PicturePacket, readPicturePacket } from "../core/wire/picture-packet.ts";
import type { Bridge, RequestFault } from "./bridge.ts";
import type { LatencyLog } from "./draw/latency.ts";
import { createTrendRing, type TrendRing } from "./draw/trend-ring.ts";
import { addToTrends, fillTrends } from "./feed-trends.ts";

/** An hour at 30 frames a second. */
const RING_CAPACITY = 108_000;
const BACKFILL_SECONDS = 3600;

export interface PictureFeed {
	/** What the newest packet is drawn on; null until it has been fetched. */
	readonly geometry: PictureGeometry | null;
	readonly newest: PicturePacket | null;
	/** Region means since the stream, or the replay's last jump, began; null before a geometry. */
	readonly trends: TrendRing | null;
	readonly fault: RequestFault | null;
	/** Whether packets of a replay or of the live stream are wanted, by what the page shows: the state that tells of a
	 *  replay may come after its first picture. Changing it forgets the picture shown. */
	setMode(mode: "live" | "replay"): void;
	/** Forgets the picture, its geometry and the trends. */
	reset(): void;
	take(buffer: ArrayBuffer): void;
	/** Somebody draws the pictures: the app waits for `presented`. @returns what ends it. */
	claimDrawing(): () => void;
	/** The newest packet is on the screen. */
	presented(packet: PicturePacket): void;
	/** The page was out of sight or cut off: asks the app for the region means that were missed. */
	refill(): void;
	onGeometry(listener: () => void): () => void;
	onPicture(listener: () => void): () => void;
}

export interface FeedSurroundings {
	readonly bridge: () => Pick<Bridge, "request" | "drawn">;
	readonly latencies: LatencyLog;
	/** ms since the epoch, on the clock that the app stamps packets with. */
	readonly now: () => number;
	readonly isHidden: () => boolean;
}

export function createPictureFeed(around: FeedSurroundings): PictureFeed {
	const geometryListeners = new Set<() => void>();
	const pictureListeners = new Set<() => void>();
	let mode: "live" | "replay" = "live";
	let geometry: PictureGeometry | null = null;
	let wantedGeometry = 0;
	let newest: PicturePacket | null = null;
	let trends: TrendRing | null = null;
	let fault: RequestFault | null = null;
	let drawing = 0;
	/** Of the last packet that the app was told about. */
	let dealtWith = -1;

	function release(sequence: number): void {
		dealtWith = sequence;
		around.bridge().drawn(sequence);
	}

	function tell(listeners: Set<() => void>): void {
		for (const listener of listeners) listener();
	}

	function reset(): void {
		// Nobody will draw what still waits: untold, the app would hold back the pictures that follow.
		if (newest !== null && newest.sequence !== dealtWith) release(newest.sequence);
		dealtWith = -1;
		newest = null;
		geometry = null;
		trends = null;
		wantedGeometry = 0;
		tell(geometryListeners);
	}

	async function fetchGeometry(geometryId: number): Promise<void> {
		wantedGeometry = geometryId;
		const reply = await around.bridge().request("getGeometry", { geometryId });
		if (wantedGeometry !== geometryId) return;
		wantedGeometry = 0;
		if (!reply.ok) {
			fault = reply.error.kind === "connection-lost" ? null : reply.error;
			tell(geometryListeners);
			return;
		}
		fault = null;
		const sameRegions = trends !== null && regionKey(geometry) === regionKey(reply.value);
		geometry = reply.value;
		if (newest !== null && newest.geometryId !== geometryId) newest = null;
		if (!sameRegions) {
			const count = geometry.regions.filter((region) => region.trendIndex !== null).length;
			trends = count === 0 ? null : createTrendRing(count, RING_CAPACITY);
			// the picture that it was fetched for: of a replay that is paused there comes no other
			if (newest !== null) addToTrends(trends, newest);
			refill();
		}
		tell(geometryListeners);
		tell(pictureListeners);
	}

	function refill(): void {
		if (mode === "live" && trends !== null) void backfill(trends);
	}

	async function backfill(ring: TrendRing): Promise<void> {
		const reply = await around.bridge().request("getLiveTrends", { seconds: BACKFILL_SECONDS });
		if (!reply.ok || ring !== trends || reply.value.regions.length !== ring.regionCount) return;
		fillTrends(ring, reply.value.seconds, reply.value.values);
		tell(pictureListeners);
	}

	return {
		get geometry() {
			return geometry;
		},
		get newest() {
			return newest;
		},
		get trends() {
			return trends;
		},
		get fault() {
			return fault;
		},
		setMode(next) {
			if (next === mode) return;
			mode = next;
			reset();
		},
		reset,
		take(buffer) {
			const packet = readPicturePacket(buffer);
			if (packet === null) return;
			const isReplay = (packet.flags & PictureFlags.replay) !== 0;
			if (isReplay !== (mode === "replay")) {
				release(packet.sequence);
				return;
			}
			if (packet.geometryId !== geometry?.geometryId && packet.geometryId !== wantedGeometry) {
				void fetchGeometry(packet.geometryId);
			}
			newest = packet;
			addToTrends(trends, packet);
			if (drawing === 0 || around.isHidden() || packet.geometryId !== geometry?.geometryId) {
				release(packet.sequence);
			}
			tell(pictureListeners);
		},
		claimDrawing() {
			drawing++;
			let ended = false;
			return () => {
				if (ended) return;
				ended = true;
				drawing--;
				// Nobody will draw what still waits.
				if (drawing === 0 && newest !== null) release(newest.sequence);
			};
		},
		presented(packet) {
			// Drawn again (a new size, a new colour scale) or drawn late (its geometry was still on the way).
			if (packet.sequence === dealtWith) return;
			around.latencies.record(around.now() - packet.receivedAt);
			release(packet.sequence);
		},
		refill,
		onGeometry(listener) {
			geometryListeners.add(listener);
			return () => geometryListeners.delete(listener);
		},
		onPicture(listener) {
			pictureListeners.add(listener);
			return () => pictureListeners.delete(listener);
		},
	};
}

function regionKey(geometry: PictureGeometry | null): string {
	return (
		geometry?.regions
			.filter((region) => region.trendIndex !== null)
			.map((region) => region.id)
			.join(" ") ?? ""
	);
}
