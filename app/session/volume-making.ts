/** The model of a volume in the making: one at a time, told how far it is, and given up at any moment. */
import { type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { VolumeBuilder } from "../pipeline/volume-builder.ts";
import type { BuiltVolume, VolumeRequest } from "../pipeline/volume-messages.ts";
import type { Clock } from "./clock.ts";

export interface TimedVolume {
	readonly volume: BuiltVolume;
	/** From when it was asked for. */
	readonly seconds: number;
}

export interface VolumeMaking {
	/** What is being done, for people, and the share of all that is done; null while nothing is made. */
	readonly progress: { readonly step: string; readonly share: number } | null;
	/** Gives up what was in the making. @param onMade told unless it is given up itself */
	make(request: VolumeRequest, onMade: (made: Result<TimedVolume, Fault>) => void): Promise<void>;
	giveUp(): void;
}

export function createVolumeMaking(
	clock: Clock,
	builder: VolumeBuilder,
	onProgress: () => void,
): VolumeMaking {
	let abort: AbortController | null = null;
	let progress: { step: string; share: number } | null = null;

	function giveUp(): void {
		abort?.abort();
		abort = null;
		progress = null;
	}

	return {
		get progress() {
			return progress;
		},
		async make(request, onMade) {
			giveUp();
			const controller = new AbortController();
			abort = controller;
			const startedAt = clock.now();
			progress = { step: "Waiting", share: 0 };
			const onStep = (step: string, share: number): void => {
				if (abort !== controller) return;
				progress = { step, share };
				onProgress();
			};
			const built = await builder.build(request, onStep, controller.signal);
			if (abort !== controller) return;
			abort = null;
			progress = null;
			onMade(built.ok ? success({ volume: built.value, seconds: (clock.now() - startedAt) / 1000 }) : built);
		},
		giveUp,
	};
}
