/** What stands in the place of a volume while it is made, and where it could not be. */
import type { ComponentChildren } from "preact";
import type { RequestFault } from "../bridge.ts";
import { volumeWords } from "../text/volume-words.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

export function VolumePreparing({ step, share }: { readonly step: string; readonly share: number }) {
	const stop = useAction("stopVolume");
	return (
		<div class="empty">
			<h2>{volumeWords.preparing}</h2>
			<p>{volumeWords.preparingText}</p>
			<progress class="volume-progress" max={1} value={share} aria-label={volumeWords.preparing} />
			<p role="status">{volumeWords.share(step, Math.round(100 * share))}</p>
			<div class="empty-actions">
				<button type="button" class="button" disabled={stop.isBusy} onClick={() => void stop.run(null)}>
					{volumeWords.cancel}
				</button>
			</div>
		</div>
	);
}

export function VolumeFailed({
	fault,
	onAgain,
	children,
}: {
	readonly fault: RequestFault;
	readonly onAgain: () => void;
	/** More ways out. */
	readonly children?: ComponentChildren;
}) {
	return (
		<div class="empty">
			<h2>{volumeWords.failed}</h2>
			<FaultNote fault={fault} />
			<div class="empty-actions">
				<button type="button" class="button button-primary" onClick={onAgain}>
					{volumeWords.again}
				</button>
				{children}
			</div>
		</div>
	);
}
