/** Two regions in figures and bars that a patient reads from across the room. */
import { useState } from "preact/hooks";
import { fineSteps, stepAtLeast } from "../draw/auto-range.ts";
import { digitsFor, formatChange, type Unit, unitText } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { SelectField } from "./field.tsx";
import { useInk } from "./line-key.tsx";
import { useModel, useSubscription } from "./model-context.ts";
import { useReadouts } from "./readout-panel.tsx";
import { trendRegions } from "./trend-regions.ts";

export function LargeReadouts() {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const values = useReadouts();
	const regions = trendRegions(feed.geometry);
	const [chosen, setChosen] = useState<readonly [number, number]>([0, 1]);
	const [scale, setScale] = useState(0.001);
	const peak = Math.max(...chosen.map((index) => Math.abs(values[index] ?? 0)));
	if (peak > scale) setScale(stepAtLeast(peak, fineSteps));
	return (
		<section class="large-readouts" aria-label={words.readout.title}>
			{([0, 1] as const).map((place) => {
				const index = Math.min(chosen[place], regions.length - 1);
				if (index < 0) return null;
				return (
					<div class="panel large-readout" key={place}>
						<SelectField
							label={words.readout.region}
							value={String(index)}
							options={regions.map((region) => ({ value: String(region.trendIndex), text: region.name }))}
							onChoose={(next) =>
								setChosen(place === 0 ? [Number(next), chosen[1]] : [chosen[0], Number(next)])
							}
						/>
						<LargeBar
							value={values[index] ?? null}
							scale={scale}
							unit={feed.geometry?.unit ?? "S/m"}
							trendIndex={index}
						/>
					</div>
				);
			})}
		</section>
	);
}

function LargeBar({
	value,
	scale,
	unit,
	trendIndex,
}: {
	readonly value: number | null;
	readonly scale: number;
	readonly unit: Unit;
	readonly trendIndex: number;
}) {
	const ink = useInk(trendIndex);
	const share = Math.max(-1, Math.min(1, (value ?? 0) / scale));
	const length = 50 * Math.abs(share);
	return (
		<>
			<svg class="large-bar" viewBox="0 0 30 100" preserveAspectRatio="none" aria-hidden="true">
				<rect class="bar-track" x="0" y="0" width="30" height="100" />
				<rect fill={ink} x="0" y={share < 0 ? 50 : 50 - length} width="30" height={length} />
				<rect class="bar-zero" x="0" y="49.75" width="30" height="0.5" />
			</svg>
			<p class="large-value figures">
				{formatChange(value, unit, { digits: digitsFor(scale, unit), withUnit: false })}{" "}
				<span class="large-unit">{unitText(unit)}</span>
			</p>
		</>
	);
}
