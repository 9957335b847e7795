import type { NextStep } from "../../core/exercise/stop-rules.ts";
import { coachWords } from "../text/coach-words.ts";
import { Advice } from "./advice.tsx";
import { MainButton } from "./main-button.tsx";

/** What answers about a set that had been left lead to, until somebody has read it. */
export function AnsweredLate({ step, onRead }: { readonly step: NextStep; readonly onRead: () => void }) {
	return (
		<section class="closing">
			<Advice step={step} />
			<div class="button-row question-row">
				<MainButton text={coachWords.understood} onPress={onRead} />
			</div>
		</section>
	);
}
