/** What a stored session's frames are pictured with: the model of its band and the rest that holds for each frame. */
import type { AppState } from "../contract.ts";
import type { ModelRequest } from "../pipeline/messages.ts";
import type { SessionDetail, StoredBaseline, StoredConfiguration, StoredFrame } from "../store/records.ts";
import { isSameConfiguration } from "./live-band.ts";
import { createModelSlot, type ModelSlotParts, type ReadyModel } from "./model-slot.ts";
import type { PictureSettings } from "./set-up.ts";
import { ohmPerUnitOf, restOf } from "./stored-rest.ts";

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
	readyFor(frame: StoredFrame): { readonly modelId: number; readonly baselineId: number } | null;
	/** The rest alone, for the model that is ready; null when it does not fit the frame or there is no rest. */
	baselineFor(frame: StoredFrame): number | null;
	/** [nReadings] the frame's readings in the unit that pictures are made of; overwritten by the next call. */
	ohmOf(frame: StoredFrame): Float64Array;
	/** Settles once no model is being made. */
	settled(): Promise<void>;
	dispose(): void;
}

export function createReplayPictures(
	parts: Omit<ModelSlotParts, "onChange"> & { readonly onChange: () => void },
	detail: SessionDetail,
	baselines: readonly StoredBaseline[],
): ReplayPictures {
	const { stream } = parts;
	const slot = createModelSlot({ ...parts, onChange: slotChanged });
	const scales = new Map<number, Float64Array>();
	const scratch = new Map<number, Float64Array>();
	const baselineIds = new Map<StoredBaseline, number>();
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
			isSame(asked.baseline?.noise ?? null, baseline?.noise ?? null);
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
			noise: baseline?.noise.map((value, i) => Math.abs(value * scale[i]!)) ?? null,
			rest: baseline?.median.map((value, i) => value * scale[i]!) ?? null,
			frequencyHertz: configuration.frequencyHertz,
			settings,
		});
	}

	function scaleOf(configurationId: number): Float64Array {
		let scale = scales.get(configurationId);
		if (scale === undefined) {
			scale = ohmPerUnitOf(configurationOf(configurationId));
			scales.set(configurationId, scale);
		}
		return scale;
	}

	/** A board that starts again gives its settings another number: what was measured with one holds for the other. */
	const sameAs = new Map(
		detail.configurations.map((configuration) => [
			configuration.id,
			detail.configurations.find(
				(other) =>
					other.bandIndex === configuration.bandIndex &&
					isSameConfiguration(other, configuration) &&
					isSame(other.readingCurrentAmpere, configuration.readingCurrentAmpere),
			)?.id ?? configuration.id,
		]),
	);

	function canonical(configurationId: number): number {
		return sameAs.get(configurationId) ?? configurationId;
	}

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

	function restFor(frame: StoredFrame): StoredBaseline | undefined {
		return ofBand[restOf(ofBand, canonical(frame.configurationId), frame.ordinal)];
	}

	function baselineFor(frame: StoredFrame): number | null {
		const baseline = restFor(frame);
		if (baseline === undefined || slot.ready === null) return null;
		return readyConfiguration === canonical(frame.configurationId) ? baselineIdOf(baseline) : null;
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
			const baseline = restFor(frame);
			if (baseline === undefined) return null;
			// While a model by this rest's noise is being made, the one by another's serves.
			ask(configurationOf(frame.configurationId), baseline);
			const baselineId = baselineFor(frame);
			return baselineId === null || slot.ready === null ? null : { modelId: slot.ready.modelId, baselineId };
		},
		baselineFor,
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
			for (const id of baselineIds.values()) stream.forget(id);
			baselineIds.clear();
		},
	};
}

/** What the session was measured on; null when the record does not tell. */
function bodyOf({ limb, band, setup }: SessionDetail): ModelRequest["body"] | null {
	if (setup !== undefined && setup !== null) return { kind: "case", setup };
	return limb === null || band === null ? null : { kind: "limb", limb, band };
}

function isSame(a: Float64Array | null, b: Float64Array | null): boolean {
	if (a === b || a === null || b === null) return a === b;
	if (a.length !== b.length) return false;
	for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
	return true;
}
