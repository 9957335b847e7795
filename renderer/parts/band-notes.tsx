/** What has to be known about the band while it is measured with: its battery, and a recording that waits for it. */
import { lowBatteryPercent } from "../../core/signal/battery.ts";
import { formatQuantity } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { Icon } from "./icon.tsx";
import { useAppState } from "./model-context.ts";

export function BandNotes() {
	const { board, recording } = useAppState();
	const percent = board?.batteryPercent ?? null;
	const isLow = percent !== null && percent < lowBatteryPercent;
	const waitsFor = recording?.waitsFor ?? null;
	return (
		<>
			{isLow && (
				<p class="note note-fault" role="status">
					<Icon name="caution" /> {words.live.batteryLow(formatQuantity(percent, 0, "%"))}
				</p>
			)}
			{waitsFor !== null && (
				<p class="note note-fault" role="status">
					<Icon name="caution" /> {words.live.recordingWaits(waitsFor)}
				</p>
			)}
		</>
	);
}
