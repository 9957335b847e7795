import { beforeAll, describe, expect, test } from "vitest";
import {
	createPictureRings,
	FrameField,
	viewFrameSlot,
	viewPictureSlot,
} from "../../app/pipeline/frame-slots.ts";
import { createPictureLoop } from "../../app/pipeline/picture-loop.ts";
import { createRingReader, createRingWriter } from "../../app/pipeline/slot-ring.ts";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { circlePoints } from "../../core/limb/region-shapes.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, type PictureModel } from "../../core/picture/picture-model.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { readPicturePacket } from "../../core/wire/picture-packet.ts";

let model: PictureModel;
const pattern = createPattern(8, "adjacent");
const rest = Float64Array.from({ length: 40 }, (_, i) => 1 + i / 40);

beforeAll(() => {
	const outline = createOutline({ type: "circle", radius: 0.08 });
	const band = {
		electrodeCount: 8,
		electrodeWidth: 0.02,
		firstAngle: 0,
		direction: "anticlockwise",
	} as const;
	model = buildPictureModel({
		subject: {
			outline,
			electrodes: placeElectrodes(outline, band),
			regions: [
				{
					id: "middle",
					name: "Middle",
					tissue: "muscle",
					points: circlePoints([0, 0], 0.03),
					sigma: 0.3,
					inTrends: true,
				},
			],
			backgroundSigma: 0.3,
			contactImpedance: new Float64Array(8).fill(0.02),
			side: null,
			unit: "S/m",
		},
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		prior: "diagonal",
		rule: "noise-figure",
		targetTriangles: 400,
	});
});

function createScene(frameSlots = 8, pictureSlots = 4) {
	const rings = createPictureRings(frameSlots, pictureSlots);
	const frames = createRingWriter(rings.frames, viewFrameSlot);
	const pictures = createRingReader(rings.pictures, viewPictureSlot);
	const told: boolean[] = [];
	const loop = createPictureLoop(rings, ({ isStalled }) => told.push(isStalled));

	function push(
		modelId: number,
		baselineId: number,
		readings: Float64Array,
		sequence: number,
		withImage = true,
		trustId = 0,
	) {
		const slot = frames.claim();
		if (slot === null) return false;
		slot.fields.fill(0);
		slot.fields[FrameField.modelId] = modelId;
		slot.fields[FrameField.baselineId] = baselineId;
		slot.fields[FrameField.trustId] = trustId;
		slot.fields[FrameField.nReadings] = readings.length;
		slot.fields[FrameField.sequence] = sequence;
		slot.fields[FrameField.withImage] = withImage ? 1 : 0;
		slot.fields[FrameField.token] = 100 + sequence;
		slot.values.set(readings);
		frames.commit();
		return true;
	}

	/** Takes all pictures out. */
	function take() {
		const taken = [];
		for (let slot = pictures.peek(); slot !== null; slot = pictures.peek()) {
			const bytes = slot.bytes.slice(0, slot.fields[1]);
			const packet = readPicturePacket(new Uint8Array(bytes).buffer);
			if (packet === null) throw new Error("no picture packet");
			taken.push({ packet, token: slot.fields[3] });
			pictures.release();
		}
		return taken;
	}

	return { loop, push, take, told };
}

describe("the picture worker's loop", () => {
	test("writes what the kernel computes, whole or as means alone", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		const changed = rest.map((value, i) => value * (1 + 0.01 * Math.sin(i)));
		push(1, 2, changed, 1);
		push(1, 2, changed, 2, false);
		loop.receive({ type: "wake" });
		const kernel = createPictureKernel(model);
		kernel.setBaseline(rest);
		kernel.apply(changed);
		const [whole, means] = take();
		expect(whole?.packet.nodeValues).toEqual(kernel.values.slice());
		expect(whole?.packet.regionMeans).toEqual(kernel.regionMeans.slice());
		expect(whole?.packet).toMatchObject({ geometryId: 1, sequence: 1 });
		expect(whole?.token).toBe(101);
		expect(means?.packet.nodeValues).toHaveLength(0);
		expect(means?.packet.regionMeans[0]).toBeCloseTo(kernel.regionMeans[0]!, 6);
	});

	test("holds a frame until what it refers to has been told", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		push(1, 2, rest, 1);
		loop.receive({ type: "wake" });
		expect(take()).toHaveLength(0);
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		expect(take()).toHaveLength(1);
	});

	test("leaves readings out from the frame on that says so, whatever they hold, and takes them back", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		const kept = keepWithout(pattern, [3]);
		const changed = rest.map((value, i) => value * (1 + 0.01 * Math.sin(i)));
		const spoiled = changed.map((value, i) => (kept[i] === 0 ? Number.NaN : value));
		push(1, 2, changed, 1);
		push(1, 2, spoiled, 2, true, 3);
		push(1, 2, spoiled, 3, false, 3);
		push(1, 2, changed, 4);
		loop.receive({ type: "wake" });
		expect(take().map(({ packet }) => packet.sequence)).toEqual([1]);
		loop.receive({ type: "trust", trustId: 3, kept });
		const [without, means, after] = take();
		const kernel = createPictureKernel(model);
		kernel.setBaseline(rest);
		kernel.setTrust(trustReadings(model, kept));
		kernel.apply(changed);
		expect(without?.packet.nodeValues).toEqual(kernel.values.slice());
		expect(means?.packet.regionMeans[0]).toBeCloseTo(kernel.regionMeans[0]!, 6);
		kernel.setTrust(null);
		kernel.apply(changed);
		expect(after?.packet.nodeValues).toEqual(kernel.values.slice());
	});

	test("still pictures what was sent before its model was forgotten, and skips what comes after", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		push(1, 2, rest, 1);
		loop.receive({ type: "forget", id: 1 });
		push(1, 2, rest, 2);
		loop.receive({ type: "wake" });
		expect(take().map(({ packet }) => packet.sequence)).toEqual([1]);
	});

	test("keeps what is to be forgotten for frames that had to wait for room", () => {
		const { loop, push, take } = createScene(8, 2);
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		for (let sequence = 1; sequence <= 5; sequence++) push(1, 2, rest, sequence);
		loop.receive({ type: "forget", id: 1 });
		loop.receive({ type: "forget", id: 2 });
		const seen: number[] = [];
		for (let round = 0; round < 3; round++) {
			seen.push(...take().map(({ packet }) => packet.sequence));
			loop.receive({ type: "wake" });
		}
		expect(seen).toEqual([1, 2, 3, 4, 5]);
		push(1, 2, rest, 6);
		loop.receive({ type: "wake" });
		expect(take()).toHaveLength(0);
	});

	test("changes rests between frames", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		const other = rest.map((value, i) => value * (1 + 0.02 * Math.cos(i)));
		loop.receive({ type: "baseline", baselineId: 3, values: other });
		push(1, 2, other, 1);
		push(1, 3, other, 2);
		loop.receive({ type: "wake" });
		const [first, second] = take();
		expect(Math.max(...first!.packet.nodeValues.map(Math.abs))).toBeGreaterThan(0);
		expect(Math.max(...second!.packet.nodeValues.map(Math.abs))).toBe(0);
	});

	test("loses nothing when nobody takes its pictures, and says that it waits", () => {
		const { loop, push, take, told } = createScene(8, 2);
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		for (let sequence = 1; sequence <= 8; sequence++) expect(push(1, 2, rest, sequence)).toBe(true);
		expect(push(1, 2, rest, 9)).toBe(false);
		const seen: number[] = [];
		for (let round = 0; round < 4; round++) {
			loop.receive({ type: "wake" });
			expect(told.at(-1)).toBe(round < 3);
			seen.push(...take().map(({ packet }) => packet.sequence));
		}
		expect(seen).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
	});

	test("makes no picture of a frame of another length", () => {
		const { loop, push, take } = createScene();
		loop.receive({ type: "model", modelId: 1, model });
		loop.receive({ type: "baseline", baselineId: 2, values: rest });
		push(1, 2, rest.subarray(1), 1);
		push(1, 2, rest, 2);
		loop.receive({ type: "wake" });
		expect(take().map(({ packet }) => packet.sequence)).toEqual([2]);
	});
});
