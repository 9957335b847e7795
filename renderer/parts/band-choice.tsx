/** Which of the board's bands is looked at; nothing where it has but one. */
import { words } from "../text/words.ts";
import { Choice } from "./choice.tsx";
import { useAppState, useModel } from "./model-context.ts";

export function BandChoice() {
	const { bridge } = useModel();
	const state = useAppState();
	const count = state.board?.bandCount ?? 1;
	if (count < 2 || state.replay !== null) return null;
	return (
		<Choice
			label={words.picture.chooseBand}
			options={Array.from({ length: count }, (_, i) => ({ value: i, text: words.picture.band(i) }))}
			value={state.board?.bandIndex ?? 0}
			onChoose={(bandIndex) => void bridge.request("selectBand", { bandIndex })}
		/>
	);
}
