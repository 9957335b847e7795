import { noiseFromReciprocity } from "./noise.ts";
import { createPictureKernel } from "./picture-kernel.ts";
import { buildPictureModel, type PictureModel } from "./picture-model.ts";
import type { PriorName } from "./prior.ts";
import { createRestReadings, differenceInto } from "./reading-difference.ts";
import { keepWithout, type ReadingTrust, trustReadings } from "./reading-trust.ts";
import { createFaultFinder, type FailingElectrode } from "./recording-faults.ts";
import type { RecordedFrame, Recording } from "./recording-file.ts";
import type { StrengthRule } from "./strength.ts";
import { setupSubject } from "./subject.ts";

export interface RecordingPictureOptions {
	readonly prior: PriorName;
	readonly rule: StrengthRule;
	readonly targetTriangles?: number;
	/** λ by hand, and movement beside conductivity, as in `PictureModelOptions`. */
	readonly lambda?: number;
	readonly allowsMovement?: boolean;
	/** Electrodes, from 0, that are taken as lost whatever the file says. */
	readonly without?: readonly number[];
}

/** Frames of one rest, measured at the same readings, and what they are pictured with. */
export interface PictureGroup {
	readonly rest: string;
	readonly frames: readonly RecordedFrame[];
	readonly model: PictureModel;
	/** Electrodes, from 0 and ascending, that the pictures are made without: as told, or because they gave no reading, or
	 *  none that can be believed, in these frames. */
	readonly leftOut: readonly number[];
	/** For those; null where there are none. */
	readonly trust: ReadingTrust | null;
}

export interface FramePicture {
	readonly id: string;
	/** [nCells] */
	readonly change: Float32Array;
	/** [nTrendRegions of the model] */
	readonly regionMeans: Float32Array;
}

/**
 * Models for all frames of a recording, cells as values. Readings are scaled to the model by each rest, noise is
 * taken from the reciprocity of all frames of that rest, λ by the rule; nothing is set by hand or by file.
 *
 * @throws RangeError in one sentence when the setup cannot be meshed or a frame has no readings
 */
export function buildRecordingModels(recording: Recording, options: RecordingPictureOptions): PictureGroup[] {
	const { setup } = recording;
	const { without = [], ...modelOptions } = options;
	const subject = setupSubject(setup);
	// the other rules judge λ by the frames, which must then be whole
	const findsFailing = options.rule === "noise-figure";
	return groupFrames(recording, { findsFailing, without }).map(
		({ rest, frames, changes, noise, failing }) => {
			const lost = new Set([...failing.map(({ electrode }) => electrode), ...without]);
			const leftOut = Array.from(lost).sort((a, b) => a - b);
			const model = buildPictureModel({
				subject,
				pattern: setup.pattern,
				ohmMetrePerUnit: setup.current.map((ampere) => 1 / ampere),
				noise,
				rest: recording.rests.get(rest)!,
				frames: changes,
				values: "cells",
				...modelOptions,
			});
			return {
				rest,
				frames,
				model,
				leftOut,
				trust: trustReadings(model, keepWithout(setup.pattern, leftOut)),
			};
		},
	);
}

/** Pictures of a group's frames. */
export function* picturesOf(group: PictureGroup, recording: Recording): Generator<FramePicture> {
	const kernel = createPictureKernel(group.model);
	kernel.setTrust(group.trust);
	kernel.setBaseline(recording.rests.get(group.rest)!);
	for (const { id, voltages } of group.frames) {
		kernel.apply(voltages);
		yield { id, change: kernel.values.slice(), regionMeans: kernel.regionMeans.slice() };
	}
}

/** Frames that share rest, failing electrodes and missing readings: they can share a model. */
export interface FrameGroup {
	readonly rest: string;
	readonly frames: readonly RecordedFrame[];
	/** Straightened changes of the frames, [nReadings] V each; NaN where a reading is missing or of a failing electrode. */
	readonly changes: readonly Float64Array[];
	/** [nReadings] V, from the frames' own reciprocity, those of lost electrodes as if they were there: the median of the
	 *  others. Infinity where a reading is missing. */
	readonly noise: Float64Array;
	/** Ascending. */
	readonly failing: readonly FailingElectrode[];
}

export interface GroupOptions {
	/** Whether electrodes that fail in a frame are looked for. */
	readonly findsFailing: boolean;
	/** Electrodes, from 0, that are lost whatever the frames say. */
	readonly without: readonly number[];
}

export function groupFrames(
	{ frames, rests, setup }: Recording,
	{ findsFailing, without }: GroupOptions,
): FrameGroup[] {
	const { pattern, current } = setup;
	const findFailing = createFaultFinder(setup);
	const groups = new Map<string, { rest: string; frames: RecordedFrame[]; failing: FailingElectrode[] }>();
	for (const frame of frames) {
		const rest = rests.get(frame.rest)!;
		const missing: number[] = [];
		for (let r = 0; r < rest.length; r++) {
			if (Number.isNaN(rest[r]!) || Number.isNaN(frame.voltages[r]!)) missing.push(r);
		}
		const failing = findsFailing ? findFailing(rest, frame.voltages) : [];
		const key = JSON.stringify([frame.rest, missing, failing]);
		const group = groups.get(key);
		if (group === undefined) groups.set(key, { rest: frame.rest, frames: [frame], failing });
		else group.frames.push(frame);
	}
	const ohmMetrePerVolt = current.map((ampere) => 1 / ampere);
	return Array.from(groups.values(), (group) => {
		const restReadings = createRestReadings(rests.get(group.rest)!);
		const failing = group.failing.map(({ electrode }) => electrode);
		const believed = keepWithout(pattern, failing);
		const changes = group.frames.map(({ voltages }) => {
			const change = new Float64Array(voltages.length);
			differenceInto(restReadings, voltages, change);
			return change.map((value, r) => (believed[r] === 0 ? Number.NaN : value));
		});
		const noise = noiseFromReciprocity(pattern, changes, ohmMetrePerVolt);
		return { ...group, changes, noise: fillLost(noise, keepWithout(pattern, [...failing, ...without])) };
	});
}

/** Noise for readings of lost electrodes, as if they were there: the median of the others. */
function fillLost(noise: Float64Array, kept: Float64Array): Float64Array {
	const known = noise.filter((s) => s !== Infinity).sort();
	return noise.map((s, r) => (kept[r] === 0 ? (known[known.length >> 1] ?? s) : s));
}
