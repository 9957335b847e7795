/** The named moments of a recording that has no regions to draw lines of: one button each. */
import type { ReplayState } from "../../app/contract.ts";
import { formatClock } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { useModel } from "./model-context.ts";
import { EmptyNote } from "./notes.tsx";

/** Positions come back rounded. */
const SAME_SECONDS = 0.01;

export function ReplayMarks({
	replay,
	hasPicture,
}: {
	readonly replay: ReplayState;
	/** Before the first picture nobody knows whether there are regions. */
	readonly hasPicture: boolean;
}) {
	const { bridge } = useModel();
	const { marks, positionSeconds } = replay;
	const reached = marks.findLast((mark) => mark.seconds <= positionSeconds + SAME_SECONDS);
	// Of several at one moment the first: a file names its frame before the rest that goes with it.
	const current = marks.find((mark) => mark.seconds === reached?.seconds);
	return (
		<section class="panel replay-marks" aria-label={words.replay.marks}>
			<header class="panel-head">
				<div>
					<h2>{words.replay.marks}</h2>
					<p class="panel-sub">{hasPicture ? words.replay.noRegions : words.live.waiting}</p>
				</div>
			</header>
			{marks.length === 0 ? (
				<EmptyNote title={words.replay.noMarks} text={words.replay.noMarksText} />
			) : (
				<ol class="mark-list">
					{marks.map((mark) => (
						<li key={`${mark.seconds} ${mark.label}`}>
							<button
								type="button"
								class="mark"
								aria-current={mark === current ? "true" : undefined}
								onClick={() =>
									void bridge.request("controlReplay", {
										playing: null,
										speed: null,
										seekSeconds: mark.seconds,
									})
								}
							>
								<span class="figures">{formatClock(mark.seconds)}</span>
								{mark.label}
							</button>
						</li>
					))}
				</ol>
			)}
		</section>
	);
}
