import { profileWords as text } from "../text/profile-words.ts";
import { captureSeconds } from "./use-capture.ts";

/** How far listening to a port has come, with a way to give it up. */
export function CaptureProgress({
	label,
	elapsed,
	onCancel,
}: {
	readonly label: string;
	/** s */
	readonly elapsed: number;
	readonly onCancel: () => void;
}) {
	return (
		<div class="profile-capture" role="status">
			<progress max={captureSeconds} value={elapsed} aria-label={label} />
			<span class="figures">{text.capturing(elapsed)}</span>
			<button type="button" class="button button-quiet" onClick={onCancel}>
				{text.cancel}
			</button>
		</div>
	);
}
