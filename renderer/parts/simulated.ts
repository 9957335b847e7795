import type { AppState } from "../../app/contract.ts";

/** Whether what is shown or recorded now is invented. */
export function isSimulated(state: AppState): boolean {
	if (state.replay !== null) return state.replay.session.simulated;
	return state.board?.simulated ?? state.source?.kind === "simulated";
}
