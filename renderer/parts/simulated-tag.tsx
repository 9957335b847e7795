import { words } from "../text/words.ts";
import { useAppState } from "./model-context.ts";
import { isSimulated } from "./simulated.ts";

/** Shown wherever the page's head is hidden. */
export function SimulatedTag() {
	const state = useAppState();
	if (!isSimulated(state)) return null;
	return (
		<strong class="tag tag-simulated" title={words.status.simulatedHint}>
			{words.status.simulated}
		</strong>
	);
}
