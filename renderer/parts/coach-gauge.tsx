import { useRef } from "preact/hooks";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import { gaugeOf, rawTopAfter } from "../draw/coach-gauge.ts";
import { coachWords } from "../text/coach-words.ts";
import { formatChange, type Unit } from "../text/quantity.ts";

const WIDTH = 300;
const HEIGHT = 560;
const ROUND = 26;
const PADDING = 8;

/** One upright band that fills with effort, with the place to aim at. No figures: it is read from three metres. */
export function CoachGauge({ view, unit }: { readonly view: CoachView; readonly unit: Unit }) {
	const rawTop = useRef(0);
	rawTop.current = rawTopAfter(rawTop.current, view.live);
	const { level, target, place } = gaugeOf(view, rawTop.current);
	const inside = HEIGHT - 2 * PADDING;
	const yAt = (share: number): number => PADDING + (1 - share) * inside;
	const fill = level ?? 0;
	const words = place !== null ? coachWords.places[place] : target !== null ? coachWords.aim : "";
	return (
		<>
			<svg
				class={`gauge gauge-${place ?? "none"}`}
				viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
				role="img"
				aria-label={coachWords.gauge(level === null ? coachWords.nothing : words)}
			>
				<clipPath id="gauge-inside">
					<rect x={PADDING} y={PADDING} width={WIDTH - 2 * PADDING} height={inside} rx={ROUND - PADDING} />
				</clipPath>
				<rect class="gauge-back" x="2" y="2" width={WIDTH - 4} height={HEIGHT - 4} rx={ROUND} />
				<g clip-path="url(#gauge-inside)">
					<rect
						class="gauge-fill"
						x={PADDING}
						y={yAt(fill)}
						width={WIDTH - 2 * PADDING}
						height={fill * inside}
					/>
					{level !== null && (
						<rect class="gauge-level" x={PADDING} y={yAt(fill) - 5} width={WIDTH - 2 * PADDING} height="10" />
					)}
				</g>
				{target !== null && (
					<rect
						class="gauge-target"
						x={PADDING}
						y={yAt(target.high)}
						width={WIDTH - 2 * PADDING}
						height={(target.high - target.low) * inside}
						rx="14"
					/>
				)}
			</svg>
			<p class="coach-gauge-words">
				{view.live.kind === "raw"
					? coachWords.noReference(formatChange(view.live.change, unit, { digits: 1 }))
					: words}
			</p>
		</>
	);
}
