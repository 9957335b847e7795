/** What a stored session's frames are pictured with: the model of its band and the rest that holds for each frame. */
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { AppState } from "../contract.ts";
import type { ModelRequest } from "../pipeline/messages.ts";
import type { SessionDetail, StoredBaseline, StoredConfiguration, StoredFrame } from "../store/records.ts";
import type { LeftOutHistory } from "./left-out-history.ts";
import { isSameList } from "./live-band.ts";
import { createModelSlot, type ModelSlotParts, type ReadyModel } from "./model-slot.ts";
import { sameConfigurations } from "./same-configurations.ts";
import type { PictureSettings } from "./set-up.ts";
import { ohmPerUnitOf, restForModel, restOf } from "./stored-rest.ts";

export interface ReplayPictures {
	readonly state: AppState["picture"];
	readonly model: ReadyModel | null;
	/** The band that is looked at: its model is made. */
	use(bandIndex: number): void;
	changeSettings(settings: PictureSettings): void;
	/** Another model is ready. */
	onReady(listener: () => void): void;
	/** What to make the frame's picture with; null while its model is being made, or when it has no rest. Asks for a
	 *  model of its own when the frame's configuration or noise is another. */
	readyFor(frame: StoredFrame): PictureIds | null;
	/** The rest and trust alone, for the model that is ready; null when it does not fit the frame or there is no rest. */
	restFor(frame: StoredFrame): Omit<PictureIds, "modelId"> | null;
	/** What was left out when the frame was measured. */
	leftOutFor(frame: StoredFrame): LeftOut | null;
	/** [nReadings] the frame's readings in the unit that pictures are made of; overwritten by the next call. */
	ohmOf(frame: StoredFrame): Float64Array;
	/** Settles once no model is being made. */
	settled(): Promise<void>;
	dispose(): void;
}

/** As the picture stream knows them. */
export interface PictureIds {
	readonly modelId: number;
	readonly baselineId: number;
	/** 0 where all readings are trusted. */
	readonly trustId: number;
}

export function createReplayPictures(
	parts: Omit<ModelSlotParts, "onChange"> & { readonly onChange: () => void },
	detail: SessionDetail,
	baselines: readonly StoredBaseline[],
	history: LeftOutHistory,
): ReplayPictures {
	const { stream } = parts;
	const slot = createModelSlot({ ...parts, onChange: slotChanged });
	const scales = new Map<number, Float64Array>();
	const scratch = new Map<number, Float64Array>();
	const baselineIds = new Map<StoredBaseline, number>();
	const trustIds = new Map<LeftOut, number>();
	let settings: PictureSettings = {
		prior: detail.prior,
		rule: detail.rule,
		lambdaByHand: detail.lambdaByHand,
		allowsMovement: detail.allowsMovement,
	};
	let bandIndex = 0;
	let ofBand: readonly StoredBaseline[] = [];
	/** What the newest model that was asked for is made of. */
	let asked: { configurationId: number; baseline: StoredBaseline | null; settings: PictureSettings } | null =
		null;
	let readyConfiguration = 0;
	let readyId = 0;
	let listener: () => void = () => undefined;

	function slotChanged(): void {
		const id = slot.ready?.modelId ?? 0;
		if (id !== 0 && id !== readyId) {
			readyId = id;
			readyConfiguration = asked?.configurationId ?? 0;
			listener();
		}
		parts.onChange();
	}

	/** A rest of the same noise gets no model of its own: the rests of one tank, or of one still minute, differ little. */
	function ask(configuration: StoredConfiguration, baseline: StoredBaseline | null): void {
		const isAsked =
			asked !== null &&
			asked.configurationId === configuration.id &&
			asked.settings === settings &&
			isSameList(asked.baseline?.noise ?? null, baseline?.noise ?? null);
		if (isAsked) return;
		asked = { configurationId: configuration.id, baseline, settings };
		const body = bodyOf(detail);
		if (body === null) {
			slot.refuse({ kind: "no-such-record", what: "limb", id: detail.summary.id });
			return;
		}
		const scale = scaleOf(configuration.id);
		slot.want({
			bandIndex: configuration.bandIndex,
			body,
			electrodeCount: configuration.electrodeCount,
			terminals: configuration.pattern,
			...restOfModel(baseline, scale),
			frequencyHertz: configuration.frequencyHertz,
			settings,
		});
	}

	function restOfModel(
		baseline: StoredBaseline | null,
		scale: Float64Array,
	): Pick<ModelRequest, "rest" | "noise"> {
		if (baseline === null) return { rest: null, noise: null };
		const leftOut = history.at(baseline.bandIndex, baseline.fromOrdinal);
		return restForModel(baseline, (r) => scale[r]!, leftOut?.keptAtRest ?? null);
	}

	function scaleOf(configurationId: number): Float64Array {
		let scale = scales.get(configurationId);
		if (scale === undefined) {
			scale = ohmPerUnitOf(configurationOf(configurationId));
			scales.set(configurationId, scale);
		}
		return scale;
	}

	const canonical = sameConfigurations(detail.configurations);

	const rests = baselines.map((baseline) => ({
		...baseline,
		configurationId: canonical(baseline.configurationId),
	}));

	function configurationOf(configurationId: number): StoredConfiguration {
		const found = detail.configurations.find(({ id }) => id === canonical(configurationId));
		if (found === undefined) throw new RangeError(`replay: no configuration ${configurationId}`);
		return found;
	}

	function baselineIdOf(baseline: StoredBaseline): number {
		let id = baselineIds.get(baseline);
		if (id === undefined) {
			const scale = scaleOf(baseline.configurationId);
			id = stream.addBaseline(baseline.median.map((value, i) => value * scale[i]!));
			baselineIds.set(baseline, id);
		}
		return id;
	}

	function trustIdOf(leftOut: LeftOut | null): number {
		if (leftOut === null || leftOut.kept === null) return 0;
		let id = trustIds.get(leftOut);
		if (id === undefined) {
			id = stream.addTrust(leftOut.kept);
			trustIds.set(leftOut, id);
		}
		return id;
	}

	function baselineFor(frame: StoredFrame): StoredBaseline | undefined {
		return ofBand[restOf(ofBand, canonical(frame.configurationId), frame.ordinal)];
	}

	function leftOutFor({ bandIndex: band, ordinal }: StoredFrame): LeftOut | null {
		return history.at(band, ordinal);
	}

	function restFor(frame: StoredFrame): Omit<PictureIds, "modelId"> | null {
		const baseline = baselineFor(frame);
		if (baseline === undefined || slot.ready === null) return null;
		if (readyConfiguration !== canonical(frame.configurationId)) return null;
		return { baselineId: baselineIdOf(baseline), trustId: trustIdOf(leftOutFor(frame)) };
	}

	return {
		get state() {
			return slot.state;
		},
		get model() {
			return slot.ready;
		},
		use(band) {
			bandIndex = band;
			ofBand = rests.filter((rest) => rest.bandIndex === band);
			const first = ofBand[0];
			const configuration =
				first === undefined
					? detail.configurations.find((candidate) => candidate.bandIndex === bandIndex)
					: configurationOf(first.configurationId);
			if (configuration !== undefined) ask(configuration, first ?? null);
		},
		changeSettings(next) {
			settings = next;
			if (asked === null) return;
			ask(configurationOf(asked.configurationId), asked.baseline);
		},
		onReady(next) {
			listener = next;
		},
		readyFor(frame) {
			const baseline = baselineFor(frame);
			if (baseline === undefined) return null;
			// While a model by this rest's noise is being made, the one by another's serves.
			ask(configurationOf(frame.configurationId), baseline);
			const rest = restFor(frame);
			return rest === null || slot.ready === null ? null : { modelId: slot.ready.modelId, ...rest };
		},
		restFor,
		leftOutFor,
		ohmOf(frame) {
			const scale = scaleOf(frame.configurationId);
			let ohm = scratch.get(frame.configurationId);
			if (ohm === undefined) {
				ohm = new Float64Array(scale.length);
				scratch.set(frame.configurationId, ohm);
			}
			for (let i = 0; i < ohm.length; i++) ohm[i] = frame.values[i]! * scale[i]!;
			return ohm;
		},
		settled: () => slot.settled(),
		dispose() {
			slot.dispose();
			for (const id of [...baselineIds.values(), ...trustIds.values()]) stream.forget(id);
			baselineIds.clear();
			trustIds.clear();
		},
	};
}

/** What the session was measured on; null when the record does not tell. */
function bodyOf({ limb, band, setup }: SessionDetail): ModelRequest["body"] | null {
	if (setup !== undefined && setup !== null) return { kind: "case", setup };
	return limb === null || band === null ? null : { kind: "limb", limb, band };
}
