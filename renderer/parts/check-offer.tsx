import { hashOf } from "../route.ts";
import { checkWords, proposalWords } from "../text/check-words.ts";
import { Icon } from "./icon.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** Leads to the signal check where none was done today with this band on this limb; nothing else. */
export function CheckOffer() {
	const { check } = useAppState();
	if (!check.isDue) return null;
	return (
		<div class="note check-offer">
			<Icon name="info" />
			<p>{checkWords.dueText}</p>
			<a class="button" href={hashOf({ screen: "check" })}>
				{checkWords.open}
			</a>
		</div>
	);
}

/** Says that current and gain should be set anew, where the app does not do it by itself; nothing else. */
export function RangingNote() {
	const { check } = useAppState();
	const range = useAction("rangeAgain");
	const { ranging } = check;
	const text = proposalWords(ranging);
	if (range.fault !== null) return <FaultNote fault={range.fault} onDismiss={range.clearFault} />;
	if (ranging.isRunning && check.run?.isRunning !== true) {
		return (
			<p class="note" role="status">
				<Icon name="info" />
				{checkWords.ranging.running}
			</p>
		);
	}
	if (text === null) return null;
	return (
		<div class="note note-fault" role="alert">
			<Icon name="caution" />
			<p>
				<strong>{text}</strong> {checkWords.ranging.costs}
			</p>
			<button type="button" class="button" disabled={range.isBusy} onClick={() => void range.run(null)}>
				{checkWords.ranging.act}
			</button>
		</div>
	);
}
