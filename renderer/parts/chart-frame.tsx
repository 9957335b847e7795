/** A progress chart as SVG: a handful of long paths, its axes and, where one is looked at, a mark on the point. */
import type { ProgressChart } from "../draw/progress-chart.ts";

export function ChartFrame({
	chart,
	width,
	height,
	label,
	yText,
	xText,
	looked = null,
	onLook,
	onOpen,
	onKeyDown,
	second = null,
}: {
	readonly chart: ProgressChart;
	readonly width: number;
	readonly height: number;
	readonly label: string;
	readonly yText: (value: number) => string;
	readonly xText: (day: number) => string;
	readonly looked?: number | null;
	/** The pointer is at `x`; null when it left. */
	readonly onLook?: (x: number | null) => void;
	readonly onOpen?: () => void;
	readonly onKeyDown?: (event: KeyboardEvent) => void;
	/** Another line on the same axes, drawn dashed. */
	readonly second?: ProgressChart | null;
}) {
	const bottom = chart.yTicks[0]!.y;
	const top = chart.yTicks.at(-1)!.y;
	const point = looked === null ? undefined : chart.points[looked];
	const isLive = onLook !== undefined;
	return (
		<svg
			class={isLive ? "progress-chart progress-chart-live" : "progress-chart"}
			width={width}
			height={height}
			viewBox={`0 0 ${width} ${height}`}
			role="img"
			aria-label={label}
			tabIndex={isLive ? 0 : undefined}
			onPointerMove={isLive ? (event) => onLook(event.offsetX) : undefined}
			onPointerLeave={isLive ? () => onLook(null) : undefined}
			onBlur={isLive ? () => onLook(null) : undefined}
			onClick={onOpen}
			onKeyDown={onKeyDown}
		>
			<g class="chart-grid">
				{chart.yTicks.map(({ value, y }) => (
					<g key={value}>
						<line x1={40} x2={width - 4} y1={y} y2={y} />
						<text x={36} y={y + 4} text-anchor="end">
							{yText(value)}
						</text>
					</g>
				))}
				{chart.xTicks.map(({ day, x }) => (
					<text key={day} x={x} y={height - 6} text-anchor="middle">
						{xText(day)}
					</text>
				))}
			</g>
			{chart.zeroY !== null && (
				<line class="chart-zero" x1={40} x2={width - 4} y1={chart.zeroY} y2={chart.zeroY} />
			)}
			<path class="chart-band" d={chart.band} />
			{chart.breaks.map(({ x, index }) => (
				<line key={index} class="chart-break" x1={x} x2={x} y1={top} y2={bottom} />
			))}
			{second !== null && (
				<g class="chart-second">
					<path class="chart-line" d={second.lines} />
					<path class="chart-dots" d={second.dots} />
				</g>
			)}
			<path class="chart-line" d={chart.lines} />
			<path class="chart-dots" d={chart.dots} />
			{point !== undefined && (
				<>
					<line class="chart-looked" x1={point.x} x2={point.x} y1={top} y2={bottom} />
					<circle class="chart-looked-dot" cx={point.x} cy={point.y} r={6} />
				</>
			)}
		</svg>
	);
}
