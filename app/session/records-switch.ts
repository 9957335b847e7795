import { failure, type Result, success } from "../../core/result.ts";
import type { AppState, Fault, RecordsState } from "../contract.ts";

/** How a backend asks whoever opened its records for others. */
export interface RecordsSwitch {
	state(): { readonly records: Omit<RecordsState, "isDemo">; readonly demo: AppState["demo"] };
	/** @returns what ends it. */
	onChange(listener: () => void): () => void;
	openDemo(anew: boolean): Result<null, Fault> | Promise<Result<null, Fault>>;
	cancelDemo(): Result<null, Fault>;
	closeDemo(): Result<null, Fault> | Promise<Result<null, Fault>>;
}

/** Of a backend whose records are the only ones. */
export const onlyRecords: RecordsSwitch = {
	state: () => ({ records: { number: 1, hasOwnBehind: false }, demo: null }),
	onChange: () => () => undefined,
	openDemo: () => failure({ kind: "internal", detail: "no demo clinic can be opened from here" }),
	cancelDemo: () => success(null),
	closeDemo: () => success(null),
};

/** Why other records cannot be opened now; null when they can. */
export function whyInUse({
	home,
	recording,
	exercise,
}: Pick<AppState, "home" | "recording" | "exercise">): Fault | null {
	if (home !== null) return { kind: "locked" };
	if (exercise !== null) return { kind: "records-in-use", by: "exercise" };
	return recording === null ? null : { kind: "records-in-use", by: "recording" };
}
