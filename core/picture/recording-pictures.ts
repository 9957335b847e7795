import type { ReadingPattern } from "../band/band.ts";
import { noiseFromReciprocity } from "./noise.ts";
import { createPictureKernel } from "./picture-kernel.ts";
import { buildPictureModel, type PictureModel } from "./picture-model.ts";
import type { PriorName } from "./prior.ts";
import { createRestReadings, differenceInto } from "./reading-difference.ts";
import { keepWithout, type ReadingTrust, trustReadings } from "./reading-trust.ts";
import { withoutFailing } from "./recording-faults.ts";
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
export function buildRecordingModels(recorded: Recording, options: RecordingPictureOptions): PictureGroup[] {
	const recording = options.rule === "noise-figure" ? withoutFailing(recorded) : recorded;
	const { setup } = recording;
	const { without = [], ...modelOptions } = options;
	const subject = setupSubject(setup);
	return groupFrames(recording).map(({ rest, frames, changes, noise }) => {
		const silent = options.rule === "noise-figure" ? silentElectrodes(setup.pattern, noise) : [];
		const leftOut = Array.from(new Set([...silent, ...without])).sort((a, b) => a - b);
		const kept = keepWithout(setup.pattern, leftOut);
		const model = buildPictureModel({
			subject,
			pattern: setup.pattern,
			ohmMetrePerUnit: setup.current.map((ampere) => 1 / ampere),
			noise: fillLost(noise, kept),
			rest: recording.rests.get(rest)!,
			frames: changes,
			values: "cells",
			...modelOptions,
		});
		return { rest, frames, model, leftOut, trust: trustReadings(model, kept) };
	});
}

/** Electrodes none of whose readings is there, where there are few enough to picture around. The other rules judge λ by
 *  the frames, which must then be whole: for them such readings are left out like any other that is missing. */
function silentElectrodes({ terminals, electrodeCount }: ReadingPattern, noise: Float64Array): number[] {
	const speaks = new Uint8Array(electrodeCount);
	for (let i = 0; i < terminals.length; i++) if (noise[i >> 2] !== Infinity) speaks[terminals[i]!] = 1;
	const used = new Set(terminals);
	const silent = Array.from(used).filter((electrode) => speaks[electrode] === 0);
	return silent.length <= electrodeCount / 4 ? silent : [];
}

/** Noise for readings of lost electrodes, as if they were there: the median of the others. */
function fillLost(noise: Float64Array, kept: Float64Array): Float64Array {
	const known = noise.filter((s) => s !== Infinity).sort();
	return noise.map((s, r) => (kept[r] === 0 ? (known[known.length >> 1] ?? s) : s));
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

/** Frames that share rest and missing readings: they can share a model. */
export interface FrameGroup {
	readonly rest: string;
	readonly frames: readonly RecordedFrame[];
	/** Straightened changes of the frames, [nReadings] V each. */
	readonly changes: readonly Float64Array[];
	/** [nReadings] V, from the frames' own reciprocity; Infinity where a reading is missing. */
	readonly noise: Float64Array;
}

export function groupFrames({ frames, rests, setup }: Recording): FrameGroup[] {
	const groups = new Map<string, { rest: string; frames: RecordedFrame[] }>();
	for (const frame of frames) {
		const rest = rests.get(frame.rest)!;
		const missing: number[] = [];
		for (let r = 0; r < rest.length; r++) {
			if (Number.isNaN(rest[r]!) || Number.isNaN(frame.voltages[r]!)) missing.push(r);
		}
		const key = JSON.stringify([frame.rest, missing]);
		const group = groups.get(key);
		if (group === undefined) groups.set(key, { rest: frame.rest, frames: [frame] });
		else group.frames.push(frame);
	}
	const ohmMetrePerVolt = setup.current.map((ampere) => 1 / ampere);
	return Array.from(groups.values(), (group) => {
		const restReadings = createRestReadings(rests.get(group.rest)!);
		const changes = group.frames.map(({ voltages }) => {
			const change = new Float64Array(voltages.length);
			differenceInto(restReadings, voltages, change);
			return change;
		});
		const noise = noiseFromReciprocity(setup.pattern, changes, ohmMetrePerVolt);
		return { ...group, changes, noise };
	});
}
