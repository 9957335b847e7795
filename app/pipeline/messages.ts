/** What is said between the app and its two workers besides frames and pictures, which travel in shared memory. */
import type { FrameModel } from "../../core/picture/picture-kernel.ts";
import type { PictureModel } from "../../core/picture/picture-model.ts";
import type { Result } from "../../core/result.ts";
import type {
	BandSetup,
	Fault,
	LimbSetup,
	PictureGeometry,
	RequestArgument,
	StrengthChoice,
} from "../contract.ts";
import type { PictureRings } from "./frame-slots.ts";
import type { ReadRecording } from "./read-recording.ts";
import type { Study, StudyWish } from "./study.ts";

/** What a picture is made of. Readings are in ohm (volts for each ampere of drive current). */
export interface ModelRequest {
	readonly bandIndex: number;
	readonly body:
		| { readonly kind: "limb"; readonly limb: LimbSetup; readonly band: BandSetup }
		/** A set-up in the reference case format, as an imported recording brings it. */
		| { readonly kind: "case"; readonly setup: unknown };
	readonly electrodeCount: number;
	/** [nReadings × 4] source, sink, plus, minus electrode from 0, see `ReadingPattern`; pictures are made of the
	 *  readings of the band's own electrodes. */
	readonly terminals: Uint16Array;
	/** [nReadings] ohm, standard deviation at rest; null before a baseline. */
	readonly noise: Float64Array | null;
	/** [nReadings] ohm, median at rest; null before a baseline. */
	readonly rest: Float64Array | null;
	/** Decides how well each tissue conducts. */
	readonly frequencyHertz: number;
	readonly settings: RequestArgument<"setPrior">;
}

export interface BuiltModel {
	readonly model: PictureModel;
	readonly geometry: Omit<PictureGeometry, "geometryId">;
	/** Regions that take part in trends, in the order of a packet's means. */
	readonly regions: readonly { readonly id: string; readonly name: string }[];
	/** How its strength was chosen. */
	readonly strength: Pick<StrengthChoice, "lambda" | "noiseFigure" | "choices" | "curve">;
}

export type ToModelWorker =
	| { readonly type: "build"; readonly jobId: number; readonly request: ModelRequest }
	| { readonly type: "read"; readonly jobId: number; readonly fileName: string; readonly text: string }
	| {
			readonly type: "study";
			readonly jobId: number;
			readonly request: ModelRequest;
			readonly wish: StudyWish;
	  };

export type FromModelWorker =
	| { readonly type: "step"; readonly jobId: number; readonly step: string }
	| { readonly type: "built"; readonly jobId: number; readonly result: Result<BuiltModel, Fault> }
	| { readonly type: "read"; readonly jobId: number; readonly result: Result<ReadRecording, Fault> }
	| { readonly type: "studied"; readonly jobId: number; readonly result: Result<Study, Fault> };

export interface PictureWorkerData {
	readonly rings: PictureRings;
}

export type ToPictureWorker =
	| { readonly type: "model"; readonly modelId: number; readonly model: FrameModel }
	| { readonly type: "baseline"; readonly baselineId: number; readonly values: Float64Array }
	/** `kept` [nReadings] share of its information that each reading keeps, see `core/picture/reading-trust.ts`. */
	| { readonly type: "trust"; readonly trustId: number; readonly kept: Float64Array }
	/** A model, a baseline or a trust, which share one row of numbers. */
	| { readonly type: "forget"; readonly id: number }
	/** Frames were written, or pictures were taken out. */
	| { readonly type: "wake" };

/** Pictures were written. */
export interface FromPictureWorker {
	/** The worker waits for room: it goes on when it is woken. */
	readonly isStalled: boolean;
}
