/** Where a person is guided through a reference contraction: fed by live pictures, stored by itself when it is done, and
 *  tried again where the records refuse it: nobody should have to make those efforts twice. */
import {
	createReferenceRecorder,
	type ReferenceFault,
	type ReferenceProtocol,
	type ReferenceRecorder,
	usualReference,
} from "../../core/exercise/reference-contraction.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, ReferenceState, RequestArgument } from "../contract.ts";
import type { NewReference } from "../store/care-types.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import type { LiveResult } from "./live-pictures.ts";
import type { Work } from "./work-place.ts";

export interface ReferenceDesk {
	readonly state: ReferenceState | null;
	/** Whether somebody is being guided just now. */
	readonly isRunning: boolean;
	/** `work`: who is measured, with what. */
	start(work: Work, wanted: RequestArgument<"startReference">): Result<null, Fault>;
	/** Gives a running one up, or puts the result of one that is over away. One that the records refuse is kept, with its
	 *  fault, until the next try of this, which lets go of it whatever comes. */
	stop(): Result<null, Fault>;
	/** One more try to store what the records refused. */
	keep(): void;
	onMeans(result: LiveResult, means: Float32Array): void;
	/** Nothing can be measured any more. */
	breakOff(fault: Fault): void;
}

export interface ReferenceDeskParts {
	readonly clock: Clock;
	readonly onChange: () => void;
	/** It is over, whether measured, given up or broken off. */
	readonly onEnd: () => void;
}

/** What was measured and is not stored yet is tried again so often. */
const RETRY_MS = 10_000;

interface Running {
	readonly work: Work;
	readonly protocol: ReferenceProtocol;
	readonly recorder: ReferenceRecorder;
}

export function createReferenceDesk(parts: ReferenceDeskParts): ReferenceDesk {
	let running: Running | null = null;
	/** The last one, once it is over. */
	let over: ReferenceState | null = null;
	/** It was measured, but the records refused it. */
	let unstored: { readonly records: Store; readonly reference: NewReference } | null = null;
	let stopRetrying: (() => void) | null = null;
	/** Putting it away was tried, and the records refused it once more. */
	let isLettingGo = false;

	/** @returns the fault that `over` tells, too; null once nothing waits */
	function store(): Fault | null {
		if (unstored === null || over === null) return null;
		const stored = unstored.records.addReference(unstored.reference);
		over = { ...over, referenceId: stored.ok ? stored.value : null, fault: stored.ok ? null : stored.error };
		if (stored.ok) letGo();
		else stopRetrying ??= parts.clock.every(RETRY_MS, retry);
		return over.fault;
	}

	function retry(): void {
		store();
		parts.onChange();
	}

	function letGo(): void {
		unstored = null;
		isLettingGo = false;
		stopRetrying?.();
		stopRetrying = null;
	}

	function end(state: ReferenceState | null): void {
		running = null;
		over = state;
		parts.onEnd();
		parts.onChange();
	}

	function stateOf({ work, protocol, recorder }: Running): ReferenceState {
		return {
			personId: work.personId,
			target: protocol.target,
			view: recorder.view(),
			result: null,
			referenceId: null,
			fault: null,
		};
	}

	function finish(current: Running): void {
		const { work, protocol, recorder } = current;
		const measured = recorder.result();
		if (!measured.ok) {
			end({ ...stateOf(current), fault: faultOf(measured.error) });
			return;
		}
		const regions = work.measuring.model.regions.map(({ id, name }, i) => ({
			id,
			name,
			reference: measured.value[i]!,
		}));
		unstored = {
			records: work.records,
			reference: {
				personId: work.personId,
				takenAt: toRfc3339(parts.clock.now()),
				protocol,
				unit: work.measuring.model.geometry.unit,
				regions,
				conditions: work.conditions,
			},
		};
		over = {
			...stateOf(current),
			result: regions.map(({ id, name, reference }) => ({ regionId: id, name, reference })),
		};
		store();
		end(over);
	}

	return {
		get state() {
			return running === null ? over : stateOf(running);
		},
		get isRunning() {
			return running !== null;
		},
		start(work, { target, effort, contractions, pauseSeconds }) {
			// the one before must not be lost for this one
			const fault = store();
			if (fault !== null) return failure(fault);
			const protocol = { ...usualReference, target, effort, contractions, pauseSeconds };
			const recorder = createReferenceRecorder(work.measuring.model.regions.length, protocol);
			recorder.begin(work.measuring.seconds);
			over = null;
			running = { work, protocol, recorder };
			parts.onChange();
			return success(null);
		},
		stop() {
			if (running !== null) {
				running.recorder.stop();
				end(stateOf(running));
				return success(null);
			}
			if (over === null) return failure({ kind: "not-running", what: "reference" });
			const fault = store();
			const isKept = fault !== null && !isLettingGo;
			if (isKept) isLettingGo = true;
			else {
				letGo();
				over = null;
			}
			parts.onChange();
			return fault === null ? success(null) : failure(fault);
		},
		keep: () => void store(),
		onMeans({ seconds }, means) {
			if (running === null) return;
			running.recorder.add(seconds, means);
			parts.onChange();
			if (running.recorder.view().step === "done") finish(running);
		},
		breakOff(fault) {
			if (running === null) return;
			running.recorder.stop();
			end({ ...stateOf(running), fault });
		},
	};
}

function faultOf(fault: ReferenceFault): Fault {
	switch (fault.kind) {
		case "not-finished":
			return { kind: "cancelled" };
		case "too-few-frames":
			return { kind: "reference-incomplete", contraction: fault.contraction, frames: fault.frames };
	}
}
