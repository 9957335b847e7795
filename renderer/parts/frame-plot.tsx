import { profileWords as text } from "../text/profile-words.ts";

const width = 640;
const height = 150;
const margin = 8;

/** A frame's readings in their order as dots, and what a disc reads as a line; both with mean 0 and the same spread, the
 *  disc turned round where that fits. */
export function FramePlot({
	frame,
	disc,
	agreement,
}: {
	readonly frame: Float64Array;
	readonly disc: Float64Array;
	readonly agreement: number | null;
}) {
	const sign = (agreement ?? 1) < 0 ? -1 : 1;
	const board = standardised(frame);
	const model = standardised(disc).map((value) => sign * value);
	const most = Math.max(...board.map(Math.abs), ...model.map(Math.abs), 1e-9);
	const x = (i: number): number => margin + ((width - 2 * margin) * i) / Math.max(1, frame.length - 1);
	const y = (value: number): number => height / 2 - (value / most) * (height / 2 - margin);
	const line = [...model].map((value, i) => `${x(i).toFixed(1)},${y(value).toFixed(1)}`).join(" ");
	return (
		<figure class="frame-plot">
			<figcaption class="panel-line">
				<span class="field-label">{text.plot}</span>
				<span class="frame-plot-key" aria-hidden="true">
					<span class="frame-plot-board">{text.plotKeyBoard}</span>
					<span class="frame-plot-disc">{text.plotKeyDisc}</span>
				</span>
			</figcaption>
			<svg
				viewBox={`0 0 ${width} ${height}`}
				role="img"
				aria-label={text.plotText(agreement === null ? "–" : agreement.toFixed(2))}
			>
				<line x1={margin} x2={width - margin} y1={height / 2} y2={height / 2} class="frame-plot-zero" />
				<polyline points={line} class="frame-plot-line" />
				{[...board].map((value, i) => (
					// Readings stay in their order.
					<circle key={i} cx={x(i)} cy={y(value)} r={frame.length > 300 ? 1.5 : 2.5} />
				))}
			</svg>
			<p class="field-hint">{text.plotSource}</p>
		</figure>
	);
}

function standardised(values: Float64Array): Float64Array {
	const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
	const spread = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
	return values.map((value) => (spread > 0 ? (value - mean) / spread : 0));
}
