/** A line chart as SVG: its axes, what is wanted as a shaded field, its lines, and marks on them. */
import type { LineChart } from "../draw/line-chart.ts";

export interface ChartMark {
	readonly x: number;
	readonly y: number;
	/** Filled: in use; open: tried or offered. */
	readonly kind: "filled" | "open";
	readonly text: string;
}

export function LineChartFrame({
	chart,
	width,
	height,
	label,
	xText,
	yText,
	marks = [],
	vertical = null,
	onChoose,
}: {
	readonly chart: LineChart;
	readonly width: number;
	readonly height: number;
	readonly label: string;
	readonly xText: (value: number) => string;
	readonly yText: (value: number) => string;
	/** In CSS px. */
	readonly marks?: readonly ChartMark[];
	/** Where a line across is drawn, CSS px; null for none. */
	readonly vertical?: number | null;
	/** A place on the x axis was pointed at. */
	readonly onChoose?: (value: number) => void;
}) {
	return (
		<svg
			class={onChoose === undefined ? "line-chart" : "line-chart line-chart-live"}
			width={width}
			height={height}
			viewBox={`0 0 ${width} ${height}`}
			role="img"
			aria-label={label}
			onPointerDown={onChoose === undefined ? undefined : (event) => onChoose(chart.valueAt(event.offsetX))}
		>
			{chart.wanted !== null && <rect class="chart-wanted" {...chart.wanted} />}
			<g class="chart-grid">
				{chart.yTicks.map(({ value, at }) => (
					<g key={value}>
						<line x1={chart.left} x2={chart.right} y1={at} y2={at} />
						<text x={chart.left - 5} y={at + 4} text-anchor="end">
							{yText(value)}
						</text>
					</g>
				))}
				{chart.xTicks.map(({ value, at }) => (
					<text key={value} x={at} y={height - 7} text-anchor="middle">
						{xText(value)}
					</text>
				))}
			</g>
			{vertical !== null && (
				<line class="chart-looked" x1={vertical} x2={vertical} y1={chart.top} y2={chart.bottom} />
			)}
			{chart.paths.map((path, i) => (
				<path key={i} class={i === 0 ? "chart-line" : "chart-line chart-line-other"} d={path} />
			))}
			{marks.map(({ x, y, kind, text }) => (
				<g key={text} class={kind === "filled" ? "chart-mark" : "chart-mark chart-mark-open"}>
					<circle cx={x} cy={y} r={5.5} />
					<text
						x={x > chart.right - 90 ? x - 9 : x + 9}
						y={y < chart.top + 16 ? y + 16 : y - 8}
						text-anchor={x > chart.right - 90 ? "end" : "start"}
					>
						{text}
					</text>
				</g>
			))}
		</svg>
	);
}
