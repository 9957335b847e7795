import { useState } from "preact/hooks";
import { hashOf } from "../route.ts";
import { homeWords } from "../text/home-words.ts";
import { Modal } from "./modal.tsx";
import { FaultNote } from "./notes.tsx";
import { PinField } from "./pin-field.tsx";
import { useAction } from "./use-request.ts";

/** Asks for the PIN that ends home mode, and begins it. */
export function EnterHome({
	personId,
	onClose,
}: {
	readonly personId: number;
	readonly onClose: () => void;
}) {
	const [pin, setPin] = useState("");
	const enter = useAction("enterHome");
	const isWrong = pin !== "" && !/^\d{4,12}$/.test(pin);

	async function run(): Promise<void> {
		const outcome = await enter.run({ personId, pin: pin === "" ? null : pin });
		if (outcome.ok) location.hash = hashOf({ screen: "home" });
	}

	return (
		<Modal title={homeWords.enter.title} isSmall onClose={onClose}>
			<form
				onSubmit={(event) => {
					event.preventDefault();
					if (!isWrong) void run();
				}}
			>
				<div class="modal-body delete-body">
					<p>{homeWords.enter.text}</p>
					<PinField
						label={homeWords.enter.pin}
						hint={homeWords.enter.pinHint}
						value={pin}
						onInput={setPin}
						error={isWrong ? homeWords.enter.pinError : null}
					/>
					{enter.fault !== null && <FaultNote fault={enter.fault} />}
				</div>
				<div class="modal-foot">
					<button type="submit" class="button button-primary" disabled={isWrong || enter.isBusy}>
						{homeWords.enter.yes}
					</button>
					<button type="button" class="button button-quiet" onClick={onClose}>
						{homeWords.enter.cancel}
					</button>
				</div>
			</form>
		</Modal>
	);
}
