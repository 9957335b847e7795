/** What a stored session's volumes are made with: the model of its limb and bands, and for each moment the rests and what is
 *  left out, as when it was measured. */
import { failure, type Result, success } from "../../core/result.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { Fault, VolumeGap } from "../contract.ts";
import type { PictureStream } from "../pipeline/picture-stream.ts";
import type { BuiltVolume, VolumeRequest } from "../pipeline/volume-messages.ts";
import { bandPlacesOf } from "../store/band-places-record.ts";
import type {
	SessionDetail,
	SessionEvent,
	StoredBaseline,
	StoredConfiguration,
	StoredFrame,
} from "../store/records.ts";
import { placesOf } from "./band-places.ts";
import { fitToModel } from "./fit-to-model.ts";
import { joinedTerminals } from "./joined-terminals.ts";
import { joinKept } from "./joined-trust.ts";
import type { LeftOutHistory } from "./left-out-history.ts";
import { isSameList } from "./live-band.ts";
import { sameConfigurations } from "./same-configurations.ts";
import { ohmPerUnitOf, restOf } from "./stored-rest.ts";

export interface StoredVolume {
	readonly request: VolumeRequest;
	/** In the order of the model's readings. */
	readonly bands: readonly number[];
	/** Frames for the picture stream that the model was added to. */
	framesFor(
		built: Pick<BuiltVolume, "modelRest" | "noisePerOhm">,
		stream: Pick<PictureStream, "addBaseline" | "addTrust" | "forget">,
	): StoredVolumeFrames;
}

export interface StoredVolumeFrames {
	/** @param frames the newest of each band, in the bands' order
	 *  @returns what to picture them with, overwritten by the next call; null where that cannot be: a band has no rest, or
	 *  other settings than the model is made for */
	read(frames: readonly StoredFrame[]): ReadVolume | null;
	/** A rest that does not fit the model at all was met: the band's number from 0. */
	readonly misfit: number | null;
	dispose(): void;
}

export interface ReadVolume {
	readonly baselineId: number;
	/** 0 where all readings are trusted. */
	readonly trustId: number;
	/** [nReadings] Ω, fitted to the model. */
	readonly values: Float64Array;
	/** [regions] standard deviation of each mean at that rest, S/m. */
	readonly regionNoise: readonly number[];
	/** [bands] */
	readonly leftOut: readonly (LeftOut | null)[];
}

interface OneBand {
	readonly bandIndex: number;
	readonly terminals: Uint16Array;
	readonly rests: readonly StoredBaseline[];
	/** Of its readings among all. */
	readonly at: number;
}

export interface StoredVolumeParts {
	readonly detail: SessionDetail;
	readonly baselines: readonly StoredBaseline[];
	readonly events: readonly SessionEvent[];
	readonly history: LeftOutHistory;
}

/** @returns `no-volume` where something is missing in the record: it does not come any more */
export function createStoredVolume(parts: StoredVolumeParts): Result<StoredVolume, Fault> {
	const { detail, history } = parts;
	const { limb, band, configurations } = detail;
	if (limb === null || band === null) return lacks("limb");
	const canonical = sameConfigurations(configurations);
	const byId = new Map(configurations.map((configuration) => [configuration.id, configuration]));
	const scales = new Map<number, Float64Array>();
	const rests = parts.baselines.map((rest) => ({
		...rest,
		configurationId: canonical(rest.configurationId),
	}));
	const indices = [...new Set(configurations.map(({ bandIndex }) => bandIndex))].sort((a, b) => a - b);
	if (indices.length < (detail.board?.bandCount ?? indices.length) || indices.length === 0)
		return lacks("bands");
	const firstRests = indices.map((index) => rests.find(({ bandIndex }) => bandIndex === index));
	if (firstRests.includes(undefined)) return lacks("rest");
	const used = firstRests.map((rest) => byId.get(rest!.configurationId)!);
	const other = used.find(({ electrodeCount }) => electrodeCount !== band.electrodeCount);
	if (other !== undefined) return failure(otherElectrodes(other, band.electrodeCount));
	const places = placesOf(
		limb,
		indices.length,
		bandPlacesOf(parts.events) ?? undefined,
		detail.summary.simulated,
	);
	if (places === null) return lacks("places");
	const bands: OneBand[] = [];
	let readingCount = 0;
	for (const { bandIndex, pattern } of used) {
		const ofBand = rests.filter((rest) => rest.bandIndex === bandIndex);
		bands.push({ bandIndex, terminals: pattern, rests: ofBand, at: readingCount });
		readingCount += pattern.length / 4;
	}

	function scaleOf(configurationId: number): Float64Array {
		const scale = scales.get(configurationId) ?? ohmPerUnitOf(byId.get(configurationId)!);
		scales.set(configurationId, scale);
		return scale;
	}

	/** @returns null for a frame that the model is not made for, or that has no rest */
	function restFor(band: OneBand, frame: StoredFrame): StoredBaseline | null {
		const id = canonical(frame.configurationId);
		if (!isSameList(byId.get(id)?.pattern ?? null, band.terminals)) return null;
		return band.rests[restOf(band.rests, id, frame.ordinal)] ?? null;
	}

	return success({
		request: {
			limb,
			band,
			places,
			terminals: joinedTerminals(bands, band.electrodeCount),
			frequencyHertz: used[0]!.frequencyHertz,
		},
		bands: indices,
		framesFor({ modelRest, noisePerOhm }, stream) {
			const fits = new Map<string, ReturnType<typeof fitRests>>();
			const trustIds = new Map<string, number>();
			const values = new Float64Array(readingCount);
			const leftOut: (LeftOut | null)[] = bands.map(() => null);
			const now: (StoredBaseline | null)[] = bands.map(() => null);
			let fitted: ReturnType<typeof fitRests> = null;
			let trustId = 0;
			let misfit: number | null = null;

			function fitRests(): { scale: Float64Array; baselineId: number; regionNoise: number[] } | null {
				const found = fitToModel(
					bands.map((one, b) => {
						const { median, noise, configurationId, fromOrdinal } = now[b]!;
						const scale = scaleOf(configurationId);
						return {
							rest: median.map((value, r) => value * scale[r]!),
							noise: noise.map((value, r) => Math.abs(value * scale[r]!)),
							kept: history.at(one.bandIndex, fromOrdinal)?.keptAtRest ?? null,
						};
					}),
					modelRest,
				);
				if (typeof found === "number") {
					misfit = found;
					return null;
				}
				return {
					scale: found.scale,
					baselineId: stream.addBaseline(found.rest),
					regionNoise: Array.from(noisePerOhm, (perOhm) => perOhm * found.noise),
				};
			}

			function takeRests(frames: readonly StoredFrame[]): boolean {
				let isOther = false;
				for (let b = 0; b < bands.length; b++) {
					const rest = restFor(bands[b]!, frames[b]!);
					if (rest === null) {
						now.fill(null);
						return false;
					}
					isOther ||= now[b] !== rest;
					now[b] = rest;
				}
				if (!isOther) return fitted !== null;
				const key = now.map((rest) => `${rest!.configurationId} ${rest!.fromOrdinal}`).join();
				fitted = fits.get(key) ?? fitRests();
				fits.set(key, fitted);
				return fitted !== null;
			}

			function takeTrust(frames: readonly StoredFrame[]): void {
				let isOther = false;
				for (let b = 0; b < bands.length; b++) {
					const one = history.at(bands[b]!.bandIndex, frames[b]!.ordinal);
					isOther ||= leftOut[b] !== one;
					leftOut[b] = one;
				}
				if (!isOther) return;
				const kept = joinKept(bands, leftOut);
				const key = kept === null ? "" : kept.join();
				trustId = kept === null ? 0 : (trustIds.get(key) ?? stream.addTrust(kept));
				if (kept !== null) trustIds.set(key, trustId);
			}

			return {
				read(frames) {
					if (!takeRests(frames) || fitted === null) return null;
					takeTrust(frames);
					for (let b = 0; b < bands.length; b++) {
						const scale = scaleOf(canonical(frames[b]!.configurationId));
						const { at } = bands[b]!;
						for (let r = 0; r < scale.length; r++)
							values[at + r] = frames[b]!.values[r]! * scale[r]! * fitted.scale[at + r]!;
					}
					const { baselineId, regionNoise } = fitted;
					return { baselineId, trustId, values, regionNoise, leftOut };
				},
				get misfit() {
					return misfit;
				},
				dispose() {
					for (const one of fits.values()) if (one !== null) stream.forget(one.baselineId);
					for (const id of trustIds.values()) stream.forget(id);
				},
			};
		},
	});
}

function lacks(missing: VolumeGap): Result<never, Fault> {
	return failure({ kind: "no-volume", missing });
}

function otherElectrodes({ electrodeCount }: StoredConfiguration, ofBand: number): Fault {
	return {
		kind: "invalid-argument",
		path: "band.electrodeCount",
		expected: `${electrodeCount}, as the board reported`,
		got: String(ofBand),
	};
}
