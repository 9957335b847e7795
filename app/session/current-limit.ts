/** The largest current that is allowed, which a person may lower below the app's own limit and never raise above it. */
import { type Result, success } from "../../core/result.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { type AppState, type Fault, requestSchemas } from "../contract.ts";
import type { Store } from "../store/store.ts";

export interface CurrentLimit {
	readonly state: AppState["currentLimit"];
	/** r.m.s. */
	readonly ampere: number;
	/** Null for the usual limit. Holds from one start to the next. */
	change(milliamp: number | null): Result<null, Fault>;
}

const SETTING = "setCurrentLimit";

/** `store` is null when it could not be opened: the limit then holds until the app ends. */
export function createCurrentLimit(store: Store | null): CurrentLimit {
	let lowered = restore(store);

	function ampere(): number {
		return Math.min(defaultWorkingLimitAmpere, lowered === null ? Number.POSITIVE_INFINITY : lowered / 1000);
	}

	return {
		get state() {
			return { milliamp: 1000 * ampere(), isLowered: ampere() < defaultWorkingLimitAmpere };
		},
		get ampere() {
			return ampere();
		},
		change(milliamp) {
			const saved = store?.saveSetting(SETTING, { milliamp }) ?? success(null);
			if (saved.ok) lowered = milliamp;
			return saved;
		},
	};
}

function restore(store: Store | null): number | null {
	const stored = store?.setting(SETTING);
	if (stored === undefined || !stored.ok) return null;
	const parsed = requestSchemas.setCurrentLimit.safeParse(stored.value);
	return parsed.success ? parsed.data.milliamp : null;
}
