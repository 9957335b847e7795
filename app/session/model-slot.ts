/**
 * The picture model in use for one subject (a live band, a replayed one): asks for a new one when what it is made of
 * changes, and keeps the old one at work until the new one is ready.
 */

import type { PictureModel } from "../../core/picture/picture-model.ts";
import type { AppState, Fault } from "../contract.ts";
import type { BuiltModel, ModelRequest } from "../pipeline/messages.ts";
import type { ModelBuilder } from "../pipeline/model-builder.ts";
import type { PictureStream } from "../pipeline/picture-stream.ts";
import type { Geometries } from "./geometries.ts";

export interface ReadyModel {
	readonly modelId: number;
	readonly geometry: BuiltModel["geometry"];
	readonly regions: BuiltModel["regions"];
	readonly strength: BuiltModel["strength"];
}

export interface ModelSlot {
	/** The newest one that is ready; null before the first. */
	readonly ready: ReadyModel | null;
	/** As shown to people. */
	readonly state: AppState["picture"];
	/** Asks for another model; a job that is still running for this slot is given up. */
	want(request: ModelRequest): void;
	/** Lets go of the model that is ready: it does not fit what comes next. */
	clear(): void;
	/** Nothing can be asked for: says why. The old model is let go, for it belongs to something else. */
	refuse(fault: Fault): void;
	/** Settles once no job is under way. */
	settled(): Promise<void>;
	/** Gives up what is under way and lets go of the model. Safe twice. */
	dispose(): void;
}

export interface ModelSlotParts {
	readonly builder: ModelBuilder;
	readonly stream: PictureStream;
	readonly geometries: Geometries;
	/** The state has changed or another model is ready. */
	readonly onChange: () => void;
	/** A model was made; its arrays are moved to the worker after this call. */
	readonly onModel?: (model: PictureModel, request: ModelRequest) => void;
}

export function createModelSlot({
	builder,
	stream,
	geometries,
	onChange,
	onModel,
}: ModelSlotParts): ModelSlot {
	let ready: ReadyModel | null = null;
	let bandIndex = 0;
	let progress: { step: string } | null = null;
	let fault: Fault | null = null;
	let abort: AbortController | null = null;
	let job: Promise<void> = Promise.resolve();

	function letGo(): void {
		if (ready !== null) stream.forget(ready.modelId);
		ready = null;
	}

	function giveUp(): void {
		abort?.abort();
		abort = null;
		progress = null;
	}

	async function run(request: ModelRequest, controller: AbortController): Promise<void> {
		const onStep = (step: string): void => {
			progress = { step };
			onChange();
		};
		const built = await builder.build(request, onStep, controller.signal);
		if (abort !== controller) return;
		abort = null;
		progress = null;
		if (built.ok) {
			letGo();
			const { model, geometry, regions, strength } = built.value;
			onModel?.(model, request);
			const modelId = stream.addModel(model);
			geometries.add({ ...geometry, geometryId: modelId });
			ready = { modelId, geometry, regions, strength };
			fault = null;
		} else {
			// The picture that was there is of something else by now: none is better than a wrong one.
			letGo();
			fault = built.error;
		}
		onChange();
	}

	return {
		get ready() {
			return ready;
		},
		get state(): AppState["picture"] {
			if (fault !== null) return { state: "failed", fault };
			if (ready !== null) return { state: "ready", geometryId: ready.modelId, bandIndex };
			return progress === null ? { state: "none" } : { state: "preparing", step: progress.step };
		},
		want(request) {
			giveUp();
			fault = null;
			bandIndex = request.bandIndex;
			progress = { step: "waiting" };
			abort = new AbortController();
			job = run(request, abort);
			onChange();
		},
		clear: letGo,
		refuse(reason) {
			giveUp();
			letGo();
			fault = reason;
			onChange();
		},
		async settled() {
			while (abort !== null) await job;
		},
		dispose() {
			giveUp();
			letGo();
			fault = null;
		},
	};
}
