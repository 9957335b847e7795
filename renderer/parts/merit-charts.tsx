/** The figures of merit of a band, each as a small chart over the way from the middle to the skin. */
import type { BandStudy } from "../../app/contract.ts";
import { WANTED_WITHIN, wantedMerit } from "../../core/picture/wanted-merit.ts";
import { type LineChart, layOutLines } from "../draw/line-chart.ts";
import { formatQuantity } from "../text/quantity.ts";
import { type MeritName, sightWords } from "../text/sight-words.ts";
import { LineChartFrame } from "./line-chart.tsx";
import { useWidth } from "./use-width.ts";

const merits = [
	"amplitude",
	"positionError",
	"resolution",
	"shapeDeformation",
	"ringing",
] as const satisfies readonly MeritName[];
const HEIGHT = 150;

export function MeritCharts({ study }: { readonly study: BandStudy }) {
	return (
		<div class="merit-charts">
			{merits.map((name) => (
				<MeritChart key={name} name={name} study={study} />
			))}
			<p class="field-hint merit-note">
				{sightWords.target(formatQuantity(1000 * study.targetRadius, 1, "mm"))}{" "}
				{sightWords.wanted(formatQuantity(100 * WANTED_WITHIN, 0, "%"))}
			</p>
		</div>
	);
}

function MeritChart({ name, study }: { readonly name: MeritName; readonly study: BandStudy }) {
	const [host, width] = useWidth<HTMLElement>();
	const { name: title, text } = sightWords.merits[name];
	const figures = study.merit[name];
	const known = figures.filter((figure) => figure !== null);
	const centimetres = study.place.map((place) => 100 * study.reach * place);
	const [low, high] = wantedMerit[name];
	let chart: LineChart | null = null;
	if (width > 120 && known.length > 1) {
		chart = layOutLines({
			width,
			height: HEIGHT,
			x: centimetres,
			lines: [figures],
			xEnds: [0, 100 * study.reach],
			wanted: { low, high, until: 100 * study.reach * WANTED_WITHIN },
		});
	}
	// All marks of an axis have as many digits as the finest needs.
	const digits = Math.max(...(chart?.yTicks ?? []).map(({ value }) => decimalsOf(value)));
	return (
		<figure class="merit-chart" ref={host}>
			<figcaption>
				<strong>{title}</strong>
				<span>{text}</span>
			</figcaption>
			{chart !== null && (
				<LineChartFrame
					chart={chart}
					width={width}
					height={HEIGHT}
					label={sightWords.meritCanvas(title, figure(Math.min(...known)), figure(Math.max(...known)))}
					xText={(value) => String(value)}
					yText={(value) => formatQuantity(value, digits, "").trim()}
				/>
			)}
			<span class="merit-axis">{sightWords.distance}</span>
		</figure>
	);
}

function decimalsOf(value: number): number {
	return String(value).split(".")[1]?.length ?? 0;
}

function figure(value: number): string {
	return formatQuantity(Number(value.toFixed(2)), Math.abs(value) >= 10 ? 0 : 2, "").trim();
}
