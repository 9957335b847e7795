import { useState } from "preact/hooks";
import { hashOf } from "../route.ts";
import { homeWords } from "../text/home-words.ts";
import { Icon } from "./icon.tsx";
import { Modal } from "./modal.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { PinField } from "./pin-field.tsx";
import { useAction } from "./use-request.ts";

/** The way back for whoever knows the PIN. */
export function LeaveHome({ needsPin }: { readonly needsPin: boolean }) {
	const [isAsking, setAsking] = useState(false);
	return (
		<>
			<button type="button" class="button button-quiet home-lock" onClick={() => setAsking(true)}>
				<Icon name="lock" />
				{homeWords.lock.open}
			</button>
			{isAsking && <LeaveDialog needsPin={needsPin} onClose={() => setAsking(false)} />}
		</>
	);
}

function LeaveDialog({ needsPin, onClose }: { readonly needsPin: boolean; readonly onClose: () => void }) {
	const [pin, setPin] = useState("");
	const { home } = useAppState();
	const leave = useAction("leaveHome");

	async function run(): Promise<void> {
		const personId = home?.personId;
		const outcome = await leave.run({ pin: needsPin ? pin : null });
		if (outcome.ok && personId !== undefined) location.hash = hashOf({ screen: "person", personId });
	}

	return (
		<Modal title={homeWords.lock.title} isSmall onClose={onClose}>
			<form
				onSubmit={(event) => {
					event.preventDefault();
					void run();
				}}
			>
				<div class="modal-body delete-body">
					<p>{homeWords.lock.text}</p>
					{needsPin && <PinField label={homeWords.lock.pin} value={pin} onInput={setPin} />}
					{leave.fault !== null && <FaultNote fault={leave.fault} />}
				</div>
				<div class="modal-foot">
					<button
						type="submit"
						class="button button-primary"
						disabled={leave.isBusy || (needsPin && !/^\d{4,12}$/.test(pin))}
					>
						{homeWords.lock.leave}
					</button>
					<button type="button" class="button button-quiet" onClick={onClose}>
						{homeWords.lock.cancel}
					</button>
				</div>
			</form>
		</Modal>
	);
}
