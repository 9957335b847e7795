/** What the rehab side of the store is given, as the rest of the app sees it; what it gives back is the contract's. */
import type { SetResult } from "../../core/exercise/exercise-run.ts";
import type { PlanItem } from "../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import type { ReferenceRecord } from "../contract.ts";

/** Its conditions name no reference. */
export type NewReference = Omit<ReferenceRecord, "id">;

export interface NewSet {
	readonly sessionId: number;
	/** Null without a plan. */
	readonly plan: {
		readonly planId: number;
		readonly version: number;
		/** Place of the exercise in that version, from 0. */
		readonly itemIndex: number;
	} | null;
	readonly item: PlanItem;
	/** Times are the board's clock in seconds, as `Frame.timeMicros` / 10⁶ of the frames stored with the session. */
	readonly result: SetResult;
	/** 0 to 10; null where not answered. */
	readonly painBefore: number | null;
	readonly conditions: MeasuringConditions;
}
