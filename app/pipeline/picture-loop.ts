/** What the picture worker does, apart from its thread: takes frames out of one ring, puts pictures into the other. */
import {
	createPictureKernel,
	type FrameModel,
	type PictureKernel,
} from "../../core/picture/picture-kernel.ts";
import { trustReadings } from "../../core/picture/reading-trust.ts";
import { picturePacketBytes, readPicturePacket, writePictureHeader } from "../../core/wire/picture-packet.ts";
import {
	FrameField,
	type FrameSlot,
	MOST_MOVES,
	PictureField,
	type PictureRings,
	type PictureSlot,
	viewFrameSlot,
	viewPictureSlot,
} from "./frame-slots.ts";
import type { FromPictureWorker, ToPictureWorker } from "./messages.ts";
import { createRingReader, createRingWriter } from "./slot-ring.ts";

export interface PictureLoop {
	receive(message: ToPictureWorker): void;
}

interface LoadedModel {
	readonly model: FrameModel;
	readonly kernel: PictureKernel;
	readonly readingCount: number;
	/** [readingCount] as the kernel takes them. */
	readonly readings: Float64Array;
	baselineId: number;
	trustId: number;
	/** The whole picture, and region means alone. */
	readonly image: Packet;
	readonly means: Packet;
}

/** A packet of fixed size, filled again for every picture. */
interface Packet {
	readonly buffer: ArrayBuffer;
	readonly bytes: Uint8Array;
	readonly nRegions: number;
	readonly nNodes: number;
	readonly regionMeans: Float32Array;
	readonly nodeValues: Float32Array;
}

export function createPictureLoop(
	rings: PictureRings,
	tell: (message: FromPictureWorker) => void,
): PictureLoop {
	const frames = createRingReader(rings.frames, viewFrameSlot);
	const pictures = createRingWriter(rings.pictures, viewPictureSlot);
	const models = new Map<number, LoadedModel>();
	const baselines = new Map<number, Float64Array>();
	const trusts = new Map<number, Float64Array>();
	/** Models, baselines and trusts share one row of numbers. */
	let newestId = 0;
	/** To be dropped once the frames that were sent before are through. */
	const leaving: number[] = [];

	/** Until the ring is empty, a frame refers to what has not been told yet, or there is no room for its picture. */
	function drain(): void {
		for (let slot = frames.peek(); slot !== null; slot = frames.peek()) {
			const { fields } = slot;
			const modelId = fields[FrameField.modelId]!;
			const baselineId = fields[FrameField.baselineId]!;
			const trustId = fields[FrameField.trustId]!;
			if (Math.max(modelId, baselineId, trustId) > newestId) return;
			const model = models.get(modelId);
			const baseline = baselines.get(baselineId);
			const kept = trustId === 0 ? null : trusts.get(trustId);
			const isKnown = model !== undefined && baseline !== undefined && kept !== undefined;
			if (isKnown && fits(slot, model, baseline, kept)) {
				const target = pictures.claim();
				if (target === null) {
					tell({ isStalled: true });
					return;
				}
				picture(slot, model, baseline, kept, target);
				pictures.commit();
				// A reader that still has an older picture looks again by itself.
				if (pictures.backlog === 1) tell({ isStalled: false });
			}
			frames.release();
		}
		for (const id of leaving.splice(0)) {
			models.delete(id);
			baselines.delete(id);
			trusts.delete(id);
		}
	}

	return {
		receive(message) {
			switch (message.type) {
				case "model":
					models.set(message.modelId, load(message.model));
					newestId = message.modelId;
					break;
				case "baseline":
					baselines.set(message.baselineId, message.values);
					newestId = message.baselineId;
					break;
				case "trust":
					trusts.set(message.trustId, message.kept);
					newestId = message.trustId;
					break;
				case "forget":
					leaving.push(message.id);
					break;
				case "wake":
					break;
			}
			drain();
		},
	};
}

function load(model: FrameModel): LoadedModel {
	const { readingCount } = model;
	const kernel = createPictureKernel(model);
	return {
		model,
		kernel,
		readingCount,
		readings: new Float64Array(readingCount),
		baselineId: 0,
		trustId: 0,
		image: createPacket(kernel.regionMeans.length, kernel.values.length),
		means: createPacket(kernel.regionMeans.length, 0),
	};
}

function createPacket(nRegions: number, nNodes: number): Packet {
	const buffer = new ArrayBuffer(picturePacketBytes(nRegions, nNodes));
	const nothing = { geometryId: 0, sequence: 0, bandIndex: 0, flags: 0, timeMicros: 0, receivedAt: 0 };
	writePictureHeader(buffer, { ...nothing, nRegions, nNodes });
	const parts = readPicturePacket(buffer)!;
	return { buffer, bytes: new Uint8Array(buffer), nRegions, nNodes, ...parts };
}

/** A frame of another pattern than its model's would be a defect of the sender; it gives no picture. */
function fits(
	{ fields }: FrameSlot,
	{ readingCount }: LoadedModel,
	baseline: Float64Array,
	kept: Float64Array | null,
): boolean {
	return (
		fields[FrameField.nReadings] === readingCount &&
		baseline.length === readingCount &&
		(kept === null || kept.length === readingCount)
	);
}

function picture(
	slot: FrameSlot,
	model: LoadedModel,
	baseline: Float64Array,
	kept: Float64Array | null,
	target: PictureSlot,
): void {
	const { kernel, readings } = model;
	const { fields, values } = slot;
	const baselineId = fields[FrameField.baselineId]!;
	if (model.baselineId !== baselineId) {
		kernel.setBaseline(baseline);
		model.baselineId = baselineId;
	}
	const trustId = fields[FrameField.trustId]!;
	if (model.trustId !== trustId) {
		kernel.setTrust(kept === null ? null : trustReadings(model.model, kept));
		model.trustId = trustId;
	}
	for (let i = 0; i < readings.length; i++) readings[i] = values[i]!;
	const withImage = fields[FrameField.withImage] === 1;
	const packet = withImage ? model.image : model.means;
	if (withImage) {
		kernel.apply(readings);
		packet.nodeValues.set(kernel.values);
	} else {
		kernel.applyToRegions(readings);
	}
	packet.regionMeans.set(kernel.regionMeans);
	writePictureHeader(packet.buffer, {
		geometryId: fields[FrameField.modelId]!,
		sequence: fields[FrameField.sequence]!,
		bandIndex: fields[FrameField.bandIndex]!,
		flags: fields[FrameField.flags]!,
		timeMicros: fields[FrameField.timeMicros]!,
		receivedAt: fields[FrameField.receivedAt]!,
		nRegions: packet.nRegions,
		nNodes: packet.nNodes,
	});
	target.bytes.set(packet.bytes);
	target.fields[PictureField.modelId] = fields[FrameField.modelId]!;
	target.fields[PictureField.packetBytes] = packet.bytes.byteLength;
	target.fields[PictureField.stream] = fields[FrameField.stream]!;
	target.fields[PictureField.token] = fields[FrameField.token]!;
	for (let m = 0; m < MOST_MOVES; m++) target.fields[PictureField.moves + m] = kernel.moves[m] ?? 0;
}
