/** What is said between the app and the thread that makes models in three dimensions. */

import type { FrameModel } from "../../core/picture/picture-kernel.ts";
import type { Result } from "../../core/result.ts";
import type { BandPlace, BandSetup, Fault, LimbSetup, VolumePictureGeometry } from "../contract.ts";

/** All that a volume's model depends on; readings are in ohm. Not the rest: a model is kept over many. */
export interface VolumeRequest {
	readonly limb: LimbSetup;
	/** All bands are made alike. */
	readonly band: BandSetup;
	/** One for each band, in their order. */
	readonly places: readonly BandPlace[];
	/** [nReadings × 4] source, sink, plus, minus electrode from 0, of all bands, numbered band by band. */
	readonly terminals: Uint16Array;
	readonly frequencyHertz: number;
}

export interface VolumeWorkerData {
	readonly request: VolumeRequest;
	/** Where models are kept. */
	readonly folder: string;
}

/** What is made, and kept on disk as it is. */
export interface MadeVolume {
	readonly model: FrameModel;
	readonly geometry: Omit<VolumePictureGeometry, "geometryId">;
	/** Regions that take part in trends, in the order of a packet's means. */
	readonly regions: readonly { readonly id: string; readonly name: string }[];
	/** [nReadings] what the model reads at rest, Ω. */
	readonly modelRest: Float64Array;
	/** [regions] standard deviation of a region's mean where each reading has one of 1 Ω, S/m per Ω. */
	readonly noisePerOhm: Float64Array;
}

export interface BuiltVolume extends MadeVolume {
	/** It was made by an earlier start, or for an earlier set-up. */
	readonly wasKept: boolean;
}

export type FromVolumeWorker =
	/** `share` of the work, 0 to 1. */
	| { readonly type: "step"; readonly step: string; readonly share: number }
	| { readonly type: "built"; readonly result: Result<BuiltVolume, Fault> };
