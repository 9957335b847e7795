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
}: {
	readonly scale: ScaleName;
	readonly range: number;
	readonly unit: Unit;
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
			context.fillRect(0, i, 1, 1);
		}
	}, [scale]);
	const ticks = scale === "change" ? [1, 0.5, 0, -0.5, -1] : [1, 0.75, 0.5, 0.25, 0];
	return (
		<div class="legend">
			<p class="legend-end">{scale === "change" ? words.picture.more : words.picture.larger}</p>
			<div class="legend-body">
				<canvas ref={canvas} class="legend-bar" width={1} height={STEPS} />
				<ol class="legend-ticks">
					{ticks.map((tick) => (
						<li key={tick}>
							{tick > 0 && scale === "change" ? "+" : ""}
							{formatChange(tick * range, unit, { withUnit: false, tick: true })}
						</li>
					))}
				</ol>
			</div>
			<p class="legend-end">{scale === "change" ? words.picture.less : words.picture.same}</p>
			<p class="legend-unit">{unitText(unit)}</p>
		</div>
	);
}
