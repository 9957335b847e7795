import { cautions } from "../../core/safety/cautions.ts";
import { words } from "../text/words.ts";
import { Modal } from "./modal.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** Shown until acknowledged; nothing but the simulated band works before. */
export function CautionsDialog({ onClose }: { readonly onClose: () => void }) {
	const acknowledge = useAction("acknowledgeCautions");
	return (
		<Modal title={words.cautions.title} onClose={onClose}>
			<div class="modal-body">
				<CautionsText />
			</div>
			<div class="modal-foot">
				{acknowledge.fault !== null && <FaultNote fault={acknowledge.fault} />}
				<button
					type="button"
					class="button button-primary"
					disabled={acknowledge.isBusy}
					onClick={async () => {
						const outcome = await acknowledge.run({ version: cautions.version });
						if (outcome.ok) onClose();
					}}
				>
					{words.cautions.acknowledge}
				</button>
				<button type="button" class="button button-quiet" onClick={onClose}>
					{words.cautions.later}
				</button>
				<p class="field-hint">{words.cautions.laterHint}</p>
			</div>
		</Modal>
	);
}

export function CautionsText() {
	return (
		<div class="cautions">
			<p class="cautions-notice">{cautions.notice}</p>
			<p>
				<strong>{cautions.introduction}</strong>
			</p>
			<dl class="cautions-list">
				{cautions.items.map((item) => (
					<div key={item.id}>
						<dt>{item.title}</dt>
						<dd>{item.advice}</dd>
					</div>
				))}
			</dl>
			<p class="cautions-stop">
				<strong>{cautions.stop}</strong>
			</p>
		</div>
	);
}
