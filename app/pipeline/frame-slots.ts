/** What travels through the two rings between the app and the picture worker, slot by slot. */
import { createRingMemory, type RingMemory, type SlotView } from "./slot-ring.ts";

/** Largest frame of the wire protocol. */
export const MOST_READINGS = 4096;
/** A picture packet of this size holds more than 60,000 nodes: several times the finest mesh for 64 electrodes. */
const MOST_PACKET_BYTES = 256 * 1024;

const FRAME_FIELDS = 12;
/** Moves of bands that a picture tells, at most: two for each of four. */
export const MOST_MOVES = 8;
const PICTURE_FIELDS = 4 + MOST_MOVES;

export interface FrameSlot {
	/** [FRAME_FIELDS], see `FrameField`. */
	readonly fields: Float64Array;
	/** [MOST_READINGS] ohm; the first `nReadings` count. */
	readonly values: Float64Array;
}

export const FrameField = {
	modelId: 0,
	baselineId: 1,
	nReadings: 2,
	bandIndex: 3,
	sequence: 4,
	flags: 5,
	timeMicros: 6,
	receivedAt: 7,
	/** 1 for the whole picture, 0 for region means only. */
	withImage: 8,
	/** Given back with the picture; the worker does not look at it. */
	stream: 9,
	token: 10,
	/** Which readings are trusted; 0 for all. */
	trustId: 11,
} as const;

export interface PictureSlot {
	/** [PICTURE_FIELDS], see `PictureField`. */
	readonly fields: Float64Array;
	/** Room for the largest packet; the first `packetBytes` count. */
	readonly bytes: Uint8Array;
}

export const PictureField = {
	modelId: 0,
	packetBytes: 1,
	stream: 2,
	token: 3,
	/** The first of `MOST_MOVES`, see `PictureKernel.moves`; 0 where the model knows of none. */
	moves: 4,
} as const;

export interface PictureRings {
	readonly frames: RingMemory;
	readonly pictures: RingMemory;
}

/** Two seconds of four bands at 30 frames a second one way; the other way is emptied by every turn of the event loop. */
export function createPictureRings(frameSlots = 256, pictureSlots = 16): PictureRings {
	return {
		frames: createRingMemory(frameSlots, 8 * (FRAME_FIELDS + MOST_READINGS)),
		pictures: createRingMemory(pictureSlots, 8 * PICTURE_FIELDS + MOST_PACKET_BYTES),
	};
}

export const viewFrameSlot: SlotView<FrameSlot> = (memory, offset) => ({
	fields: new Float64Array(memory, offset, FRAME_FIELDS),
	values: new Float64Array(memory, offset + 8 * FRAME_FIELDS, MOST_READINGS),
});

export const viewPictureSlot: SlotView<PictureSlot> = (memory, offset) => ({
	fields: new Float64Array(memory, offset, PICTURE_FIELDS),
	bytes: new Uint8Array(memory, offset + 8 * PICTURE_FIELDS, MOST_PACKET_BYTES),
});
