import { useState } from "preact/hooks";
import { parseNumber } from "../set-up-form.ts";
import { checkWords, currentText } from "../text/check-words.ts";
import { words } from "../text/words.ts";
import { TextField } from "./field.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

const LEAST_MILLIAMP = 0.05;
/** The app's own; `setCurrentLimit` takes nothing above it. */
const USUAL_MILLIAMP = 1;

/** The largest current that the app allows: it can be lowered, and put back to the usual one. */
export function CurrentLimitField() {
	const { currentLimit } = useAppState();
	const change = useAction("setCurrentLimit");
	const [entered, setEntered] = useState("");
	const milliamp = parseNumber(entered);
	const isWrong =
		entered !== "" && (milliamp === null || milliamp < LEAST_MILLIAMP || milliamp > USUAL_MILLIAMP);

	async function set(wanted: number | null): Promise<void> {
		const outcome = await change.run({ milliamp: wanted });
		if (outcome.ok) setEntered("");
	}

	return (
		<details class="board-settings">
			<summary>
				{checkWords.limit.title}: {currentText(currentLimit.milliamp)}
				{currentLimit.isLowered && <span class="tag tag-after">{checkWords.limit.lowered}</span>}
			</summary>
			<div class="setting">
				<TextField
					label={checkWords.limit.label}
					unit="mA"
					isNumber
					value={entered}
					onInput={setEntered}
					hint={checkWords.limit.hint(currentText(USUAL_MILLIAMP))}
					error={isWrong ? words.errors.range(LEAST_MILLIAMP, USUAL_MILLIAMP) : null}
				/>
				<button
					type="button"
					class="button"
					disabled={change.isBusy || milliamp === null || isWrong}
					onClick={() => void set(milliamp)}
				>
					{checkWords.limit.set}
				</button>
			</div>
			{currentLimit.isLowered && (
				<button
					type="button"
					class="button button-quiet"
					disabled={change.isBusy}
					onClick={() => void set(null)}
				>
					{checkWords.limit.usual}
				</button>
			)}
			{change.fault !== null && <FaultNote fault={change.fault} onDismiss={change.clearFault} />}
		</details>
	);
}
