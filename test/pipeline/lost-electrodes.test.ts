/** Failing electrodes all the way from frames to pictures, on a disc where the truth is known. */
import { expect, test } from "vitest";
import {
	createPictureRings,
	FrameField,
	PictureField,
	viewFrameSlot,
	viewPictureSlot,
} from "../../app/pipeline/frame-slots.ts";
import { createPictureLoop } from "../../app/pipeline/picture-loop.ts";
import { createRingReader, createRingWriter } from "../../app/pipeline/slot-ring.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { buildPictureModel } from "../../core/picture/picture-model.ts";
import { createReadingWatch } from "../../core/signal/reading-watch.ts";
import { readPicturePacket } from "../../core/wire/picture-packet.ts";
import { createDiscSubject, discRadius } from "../picture/create-disc.ts";
import { createTargets, positionError } from "../picture/disc-targets.ts";
import { createRandom } from "../picture/plain-algebra.ts";

const pattern = createPattern(16, "adjacent");
const subject = createDiscSubject();
const readingsWithTarget = createTargets(subject, pattern);
const rest = readingsWithTarget(0, 0, 0);
const noise = rest.map((value) => 1e-4 * Math.hypot(value, 0.05));
const model = buildPictureModel({
	subject,
	pattern,
	ohmMetrePerUnit: 1,
	noise,
	rest,
	prior: "diagonal",
	rule: "noise-figure",
	values: "cells",
});

/** As a share of the radius. */
const errorOf = (values: Float32Array, x: number, y: number): number =>
	positionError(values, model.geometry, x, y) / discRadius;

/** A band at 20 frames a second, whose watch says to the picture worker what to leave out. */
function createScene() {
	const rings = createPictureRings(8, 4);
	const frames = createRingWriter(rings.frames, viewFrameSlot);
	const pictures = createRingReader(rings.pictures, viewPictureSlot);
	const loop = createPictureLoop(rings, () => undefined);
	const watch = createReadingWatch(pattern, 0);
	const random = createRandom(3);
	watch.setBaseline({ median: rest, noise });
	loop.receive({ type: "model", modelId: 1, model });
	loop.receive({ type: "baseline", baselineId: 2, values: rest });
	let ids = 2;
	let trustId = 0;
	let frame = 0;
	return {
		watch,
		/** @returns the picture of the last of so many frames */
		play(readings: Float64Array, count: number): Float32Array {
			let values: Float32Array = new Float32Array(0);
			for (let i = 0; i < count; i++) {
				frame++;
				const noisy = readings.map((value, r) => value + Math.sqrt(3) * noise[r]! * random());
				if (watch.take(frame / 20, noisy)) {
					const { kept } = watch.leftOut;
					trustId = kept === null ? 0 : ++ids;
					if (kept !== null) loop.receive({ type: "trust", trustId, kept });
				}
				const slot = frames.claim()!;
				slot.fields.fill(0);
				slot.fields[FrameField.modelId] = 1;
				slot.fields[FrameField.baselineId] = 2;
				slot.fields[FrameField.trustId] = trustId;
				slot.fields[FrameField.nReadings] = noisy.length;
				slot.fields[FrameField.withImage] = 1;
				slot.values.set(noisy);
				frames.commit();
				loop.receive({ type: "wake" });
				const { bytes, fields } = pictures.peek()!;
				const packet = bytes.slice(0, fields[PictureField.packetBytes]);
				values = readPicturePacket(new Uint8Array(packet).buffer)!.nodeValues;
				pictures.release();
			}
			return values;
		},
	};
}

/** The electrodes' contacts are lost: what drives or reads with them is anything. */
function without(readings: Float64Array, electrodes: readonly number[]): Float64Array {
	const random = createRandom(electrodes[0]! + 17);
	return readings.map((value, r) =>
		electrodes.some((electrode) => pattern.terminals.subarray(4 * r, 4 * r + 4).includes(electrode))
			? value * (1 + random())
			: value,
	);
}

// The bound is the project's own; the target's radius is a tenth of the disc's.
test("found, left out and pictured: any two lost electrodes move a target by at most a tenth of the radius", () => {
	const targets = [0, 0.3, 0.5, 0.65].map((share, i) => {
		const x = share * discRadius * Math.cos(1.3 * i + 0.1);
		const y = share * discRadius * Math.sin(1.3 * i + 0.1);
		return { x, y, readings: readingsWithTarget(x, y, 0.1 * discRadius) };
	});
	const scene = createScene();
	const before = targets.map(({ x, y, readings }) => errorOf(scene.play(readings, 3), x, y));
	expect(Math.max(...before)).toBeLessThan(0.1);
	let largest = 0;
	for (let step = 1; step <= 8; step++) {
		for (const first of [2, 9]) {
			const lost = [first, (first + step) % 16].sort((a, b) => a - b);
			scene.play(without(rest, lost), 20);
			expect(scene.watch.leftOut.electrodes.map(({ electrode }) => electrode)).toEqual(lost);
			for (const [i, { x, y, readings }] of targets.entries()) {
				const picture = scene.play(without(readings, lost), 2);
				largest = Math.max(largest, errorOf(picture, x, y) - before[i]!);
			}
			scene.play(rest, 80);
			expect(scene.watch.leftOut.kept).toBeNull();
		}
	}
	expect(largest).toBeLessThan(0.1);
});
