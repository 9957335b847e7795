/**
 * Frames to pictures in a thread of its own. Frames go in and pictures come out through shared memory; what they refer
 * to (models, baselines) is told by message beforehand.
 */
import { Worker } from "node:worker_threads";
import type { FrameModel } from "../../core/picture/picture-kernel.ts";
import {
	type PicturePacket,
	picturePacketBytes,
	readPicturePacket,
	writePictureHeader,
} from "../../core/wire/picture-packet.ts";
import { buffersOf } from "./buffers-of.ts";
import {
	createPictureRings,
	FrameField,
	MOST_MOVES,
	PictureField,
	viewFrameSlot,
	viewPictureSlot,
} from "./frame-slots.ts";
import type { FromPictureWorker, PictureWorkerData, ToPictureWorker } from "./messages.ts";
import { createRingReader, createRingWriter } from "./slot-ring.ts";

/** One frame on its way; the object may be reused for the next. */
export interface FrameHeader {
	modelId: number;
	baselineId: number;
	/** 0 where all readings are trusted. */
	trustId: number;
	bandIndex: number;
	sequence: number;
	/** `PictureFlags` */
	flags: number;
	/** µs since the stream or the session began. */
	timeMicros: number;
	/** ms since the epoch. */
	receivedAt: number;
	/** False for region means only. */
	withImage: boolean;
	/** Which of the sender's streams it belongs to; comes back with the picture. */
	stream: number;
	/** The sender's own number for the frame; comes back with the picture. */
	token: number;
}

/** A header to be filled in for frame after frame of a stream. */
export function createFrameHeader(stream: number): FrameHeader {
	return {
		modelId: 0,
		baselineId: 0,
		trustId: 0,
		bandIndex: 0,
		sequence: 0,
		flags: 0,
		timeMicros: 0,
		receivedAt: 0,
		withImage: true,
		stream,
		token: 0,
	};
}

/** One picture; the object and all in it are reused for the next. */
export interface Picture {
	modelId: number;
	stream: number;
	token: number;
	/** As it goes to a page; without nodes when the frame was sent with `withImage` false. */
	packet: ArrayBuffer;
	/** Views into `packet`. */
	parts: PicturePacket;
	/** [MOST_MOVES] of each band its slide, m, and its twist, rad, since the rest; zeros where the model knows of none. */
	readonly moves: Float64Array;
}

export interface PictureStream {
	/** Takes the model over: its arrays are moved to the worker. @returns its number, one above the last one. */
	addModel(model: FrameModel): number;
	/** `values` [nReadings] ohm, copied. */
	addBaseline(values: Float64Array): number;
	/** `kept` [nReadings] share of its information that each reading keeps, 0 to 1; copied. Pictures change to it without a
	 *  new model, by a low-rank update in the worker. */
	addTrust(kept: Float64Array): number;
	/** A model, a baseline or a trust; frames sent before still find it. */
	forget(id: number): void;
	/** `values` [nReadings] are multiplied by `scale` to give ohm. @returns false when the worker is so far behind that
	 *  the frame was not taken: the caller counts it or comes again. */
	push(header: FrameHeader, values: Float64Array, scale: number): boolean;
	/** Ends the worker. Safe twice. */
	dispose(): Promise<void>;
}

export interface PictureStreamEvents {
	onPicture(picture: Picture): void;
	/** The worker ended by itself: a defect of ours. No picture comes any more. */
	onFailure(detail: string): void;
}

export function createPictureStream(workerFile: URL, events: PictureStreamEvents): PictureStream {
	const rings = createPictureRings();
	const frames = createRingWriter(rings.frames, viewFrameSlot);
	const pictures = createRingReader(rings.pictures, viewPictureSlot);
	const worker = new Worker(workerFile, { workerData: { rings } satisfies PictureWorkerData });
	const picture: Picture = {
		modelId: 0,
		stream: 0,
		token: 0,
		...takePacket(null, emptyPacket()),
		moves: new Float64Array(MOST_MOVES),
	};
	let ids = 0;
	let disposed = false;

	function tell(message: ToPictureWorker): void {
		worker.postMessage(message);
	}

	worker.on("message", (message: FromPictureWorker) => {
		for (let slot = pictures.peek(); slot !== null; slot = pictures.peek()) {
			const { fields } = slot;
			picture.modelId = fields[PictureField.modelId]!;
			picture.stream = fields[PictureField.stream]!;
			picture.token = fields[PictureField.token]!;
			for (let m = 0; m < MOST_MOVES; m++) picture.moves[m] = fields[PictureField.moves + m]!;
			Object.assign(
				picture,
				takePacket(picture.packet, slot.bytes.subarray(0, fields[PictureField.packetBytes]!)),
			);
			pictures.release();
			if (!disposed) events.onPicture(picture);
		}
		if (message.isStalled) tell({ type: "wake" });
	});
	worker.on("error", (error) => {
		if (!disposed) events.onFailure(error.message);
	});

	return {
		addModel(model) {
			ids++;
			worker.postMessage({ type: "model", modelId: ids, model } satisfies ToPictureWorker, buffersOf(model));
			return ids;
		},
		addBaseline(values) {
			ids++;
			tell({ type: "baseline", baselineId: ids, values });
			return ids;
		},
		addTrust(kept) {
			ids++;
			tell({ type: "trust", trustId: ids, kept });
			return ids;
		},
		forget: (id) => tell({ type: "forget", id }),
		push(header, values, scale) {
			const slot = frames.claim();
			if (slot === null) return false;
			const { fields } = slot;
			fields[FrameField.modelId] = header.modelId;
			fields[FrameField.baselineId] = header.baselineId;
			fields[FrameField.trustId] = header.trustId;
			fields[FrameField.nReadings] = values.length;
			fields[FrameField.bandIndex] = header.bandIndex;
			fields[FrameField.sequence] = header.sequence;
			fields[FrameField.flags] = header.flags;
			fields[FrameField.timeMicros] = header.timeMicros;
			fields[FrameField.receivedAt] = header.receivedAt;
			fields[FrameField.withImage] = header.withImage ? 1 : 0;
			fields[FrameField.stream] = header.stream;
			fields[FrameField.token] = header.token;
			for (let i = 0; i < values.length; i++) slot.values[i] = values[i]! * scale;
			frames.commit();
			// A worker that still has an older frame looks again by itself when it is done with that one.
			if (frames.backlog === 1) tell({ type: "wake" });
			return true;
		},
		async dispose() {
			if (disposed) return;
			disposed = true;
			await worker.terminate();
		},
	};
}

/** Copies a packet out of shared memory, into the last one's buffer where it fits. */
function takePacket(last: ArrayBuffer | null, bytes: Uint8Array): Pick<Picture, "packet" | "parts"> {
	const packet = last?.byteLength === bytes.byteLength ? last : new ArrayBuffer(bytes.byteLength);
	new Uint8Array(packet).set(bytes);
	const parts = readPicturePacket(packet);
	if (parts === null) throw new TypeError("picture stream: the worker wrote no picture packet");
	return { packet, parts };
}

function emptyPacket(): Uint8Array {
	const packet = new ArrayBuffer(picturePacketBytes(0, 0));
	const nothing = { geometryId: 0, sequence: 0, bandIndex: 0, flags: 0, timeMicros: 0, receivedAt: 0 };
	writePictureHeader(packet, { ...nothing, nRegions: 0, nNodes: 0 });
	return new Uint8Array(packet);
}
