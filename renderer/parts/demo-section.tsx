import { useState } from "preact/hooks";
import { demoWords } from "../text/demo-words.ts";
import { Modal } from "./modal.tsx";
import { useAppState } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** What the demo clinic is, and the way into it; inside it, how to make it anew. */
export function DemoSection() {
	const { demo, records } = useAppState();
	const [isAsking, setAsking] = useState(false);
	const open = useAction("openDemo");
	if (demo === null) return null;
	const isBusy = open.isBusy || demo.making !== null;
	return (
		<section class="panel form-section" aria-label={demoWords.title}>
			<h2>{demoWords.title}</h2>
			<p class="lead">{demoWords.text}</p>
			{!demo.isMade && <p class="field-hint">{demoWords.notMade}</p>}
			<div class="button-row">
				{!records.isDemo && (
					<button
						type="button"
						class="button"
						disabled={isBusy}
						onClick={() => void open.run({ anew: false })}
					>
						{demoWords.open}
					</button>
				)}
				{demo.isMade && (
					<button type="button" class="button button-quiet" disabled={isBusy} onClick={() => setAsking(true)}>
						{demoWords.anew}
					</button>
				)}
			</div>
			{open.fault !== null && <FaultNote fault={open.fault} onDismiss={open.clearFault} />}
			{isAsking && (
				<Modal title={demoWords.anewTitle} isSmall onClose={() => setAsking(false)}>
					<div class="modal-body">
						<p>{demoWords.anewText}</p>
					</div>
					<div class="modal-foot">
						<button
							type="button"
							class="button button-primary"
							onClick={() => {
								setAsking(false);
								void open.run({ anew: true });
							}}
						>
							{demoWords.anew}
						</button>
						<button type="button" class="button button-quiet" onClick={() => setAsking(false)}>
							{demoWords.keep}
						</button>
					</div>
				</Modal>
			)}
		</section>
	);
}

/** For a list with nobody in it. */
export function OpenDemoButton() {
	const { demo, records } = useAppState();
	const open = useAction("openDemo");
	if (demo === null || records.isDemo) return null;
	return (
		<>
			<button
				type="button"
				class="button"
				disabled={open.isBusy || demo.making !== null}
				onClick={() => void open.run({ anew: false })}
			>
				{demoWords.open}
			</button>
			{open.fault !== null && <FaultNote fault={open.fault} onDismiss={open.clearFault} />}
		</>
	);
}
