/** The picture's colour scale with its numbers: what a colour means, in words and in units. */
import { useEffect, useRef } from "preact/hooks";
import { createColourRamp, type ScaleName } from "../draw/colour-ramp.ts";
import { formatChange, type Unit, unitText } from "../text/quantity.ts";
import { words } from "../text/words.ts";

const STEPS = 255;

export function Legend({
	scale,
	range,
	unit,
	isFlat = false,
}: {
	readonly scale: ScaleName;
	readonly range: number;
	readonly unit: Unit;
	/** Lying, for paper: the bar from less to more. */
	readonly isFlat?: boolean;
}) {
	const canvas = useRef<HTMLCanvasElement>(null);
	useEffect(() => {
		const context = canvas.current?.getContext("2d");
		if (!context) return;
		const ramp = createColourRamp(scale);
		for (let i = 0; i < STEPS; i++) {
			// The top of the bar is the upper end of the scale.
			const share = 1 - i / (STEPS - 1);
			context.fillStyle = ramp.at(scale === "change" ? 2 * share - 1 : share);
			if (isFlat) context.fillRect(STEPS - 1 - i, 0, 1, 1);
			else context.fillRect(0, i, 1, 1);
		}
	}, [scale, isFlat]);
	const ticks = scale === "change" ? [1, 0.5, 0, -0.5, -1] : [1, 0.75, 0.5, 0.25, 0];
	if (isFlat) ticks.reverse();
	const upper = scale === "change" ? words.picture.more : words.picture.larger;
	const lower = scale === "change" ? words.picture.less : words.picture.same;
	return (
		<div class={isFlat ? "legend legend-flat" : "legend"}>
			<p class="legend-end">{isFlat ? lower : upper}</p>
			<div class="legend-body">
				<canvas ref={canvas} class="legend-bar" width={isFlat ? STEPS : 1} height={isFlat ? 1 : STEPS} />
				<ol class="legend-ticks">
					{ticks.map((tick) => (
						<li key={tick}>
							{tick > 0 && scale === "change" ? "+" : ""}
							{formatChange(tick * range, unit, { withUnit: false, tick: true })}
						</li>
					))}
				</ol>
			</div>
			<p class="legend-end">{isFlat ? upper : lower}</p>
			<p class="legend-unit">{unitText(unit)}</p>
		</div>
	);
}
