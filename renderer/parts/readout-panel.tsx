/** The newest value of each region, in figures large enough to read from the plinth. */
import { useEffect, useState } from "preact/hooks";
import type { TrendRing } from "../draw/trend-ring.ts";
import { digitsFor, formatChange } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { LineKey, useInk } from "./line-key.tsx";
import { useAppState, useModel, useSubscription } from "./model-context.ts";
import { trendRegions } from "./trend-regions.ts";

/** Figures that change faster cannot be read. */
const REFRESH_MILLISECONDS = 250;
const MEAN_SECONDS = 0.5;
/** Below this many standard deviations at rest a change is not told from noise (common practice, no source). */
const DETECTION_TIMES = 3;

const ROOM_ABOVE_PEAK = 1.1;

export function useReadouts(): readonly (number | null)[] {
	const { feed } = useModel();
	const [values, setValues] = useState<readonly (number | null)[]>([]);
	useEffect(() => {
		let last = 0;
		// of a recording that is not played no other picture may come
		if (feed.trends !== null) setValues(recentMeans(feed.trends));
		return feed.onPicture(() => {
			const now = performance.now();
			if (now - last < REFRESH_MILLISECONDS || feed.trends === null) return;
			last = now;
			setValues(recentMeans(feed.trends));
		});
	}, [feed]);
	return values;
}

export function ReadoutPanel() {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const values = useReadouts();
	const { geometry } = feed;
	const state = useAppState();
	const isEstimated = (state.replay === null ? state.leftOut : state.replay.leftOut) !== null;
	const unit = geometry?.unit ?? "S/m";
	const regions = trendRegions(geometry);
	const peak = Math.max(...values.map((value) => Math.abs(value ?? 0)), 0);
	const [scale, setScale] = useState(0.001);
	// Only ever wider while the screen is open: a bar must not change length because another region did.
	if (peak > scale) setScale(ROOM_ABOVE_PEAK * peak);

	return (
		<section class="panel readout-panel" aria-label={words.readout.title}>
			<header class="panel-head">
				<div>
					<h2>{words.readout.title}</h2>
					<p class={isEstimated ? "panel-sub contact-trouble" : "panel-sub"}>
						{isEstimated ? words.readout.estimated : words.readout.caption}
					</p>
				</div>
			</header>
			<table class="readouts">
				<thead class="visually-hidden">
					<tr>
						<th scope="col">{words.readout.region}</th>
						<th scope="col">{words.readout.remark}</th>
						<th scope="col">{words.readout.change}</th>
					</tr>
				</thead>
				<tbody>
					{regions.map((region) => {
						const value = values[region.trendIndex] ?? null;
						const noise = geometry?.regionNoise[region.trendIndex] ?? null;
						const isQuiet = value !== null && noise !== null && Math.abs(value) < DETECTION_TIMES * noise;
						return (
							<tr key={region.trendIndex} class={isQuiet ? "readout readout-quiet" : "readout"}>
								<th scope="row">
									<LineKey trendIndex={region.trendIndex} />
									{region.name}
								</th>
								<td class="readout-bar">
									<Bar share={value === null ? 0 : value / scale} trendIndex={region.trendIndex} />
									{isQuiet && <span class="readout-note">{words.readout.atRest}</span>}
								</td>
								<td class="readout-value">
									{isEstimated && value !== null && (
										<span title={words.readout.estimated}>{words.readout.about} </span>
									)}
									{formatChange(value, unit, { digits: digitsFor(scale, unit) })}
								</td>
							</tr>
						);
					})}
				</tbody>
			</table>
		</section>
	);
}

function Bar({ share, trendIndex }: { readonly share: number; readonly trendIndex: number }) {
	const ink = useInk(trendIndex);
	const length = 50 * Math.min(1, Math.abs(share));
	return (
		<svg class="bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
			<rect class="bar-track" x="0" y="3" width="100" height="4" />
			<rect class="bar-fill" fill={ink} x={share < 0 ? 50 - length : 50} y="1" width={length} height="8" />
			<rect class="bar-zero" x="49.6" y="0" width="0.8" height="10" />
		</svg>
	);
}

function recentMeans(ring: TrendRing): (number | null)[] {
	const means: (number | null)[] = [];
	if (ring.end === ring.first) return means;
	const begin = ring.sampleAt(ring.secondsAt(ring.end - 1) - MEAN_SECONDS);
	for (let region = 0; region < ring.regionCount; region++) {
		let sum = 0;
		let count = 0;
		for (let sample = begin; sample < ring.end; sample++) {
			const value = ring.valueAt(region, sample);
			if (Number.isNaN(value)) continue;
			sum += value;
			count++;
		}
		means.push(count === 0 ? null : sum / count);
	}
	return means;
}
