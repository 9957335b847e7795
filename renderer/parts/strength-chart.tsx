/** How the strength of smoothing was chosen: the rule's curve with the strength in use and the one that is tried. */
import type { StrengthChoice } from "../../app/contract.ts";
import { NOISE_FIGURE_TARGET } from "../../core/picture/strength.ts";
import { layOutLines, logInterpolated } from "../draw/line-chart.ts";
import { strengthWords } from "../text/sight-words.ts";
import { type ChartMark, LineChartFrame } from "./line-chart.tsx";
import { useWidth } from "./use-width.ts";

const HEIGHT = 260;

export function StrengthChart({
	choice,
	by,
	tried,
	onTry,
}: {
	readonly choice: StrengthChoice;
	/** Whose curve is shown. */
	readonly by: StrengthChoice["rule"];
	/** λ */
	readonly tried: number;
	readonly onTry: (lambda: number) => void;
}) {
	const [host, width] = useWidth<HTMLDivElement>();
	const axes = strengthWords.axes[by];
	return (
		<div class="strength-chart" ref={host}>
			<span class="strength-axis">{axes.y}</span>
			{width > 160 && <Curve choice={choice} by={by} tried={tried} onTry={onTry} width={width} />}
			<span class="strength-axis strength-axis-x">{axes.x}</span>
		</div>
	);
}

function Curve({
	choice,
	by,
	tried,
	onTry,
	width,
}: Parameters<typeof StrengthChart>[0] & { readonly width: number }) {
	const { curve, lambda } = choice;
	const size = { width, height: HEIGHT, xScale: "log", yScale: "log" } as const;
	const label = strengthWords.curveCanvas(
		strengthWords.curves[by],
		lambda.toPrecision(3),
		tried.toPrecision(3),
	);
	const frame = { width, height: HEIGHT, label, xText: power, yText: power };
	if (by === "l-curve") {
		const chart = layOutLines({ ...size, x: curve.residualNorm, lines: [curve.imageNorm] });
		const mark = (at: number, kind: ChartMark["kind"], text: string): ChartMark => ({
			x: chart.xAt(logInterpolated(curve.lambda, curve.residualNorm, at)),
			y: chart.yAt(logInterpolated(curve.lambda, curve.imageNorm, at)),
			kind,
			text,
		});
		return <LineChartFrame {...frame} chart={chart} marks={marksOf(mark, lambda, tried)} />;
	}
	const column = by === "gcv" ? curve.crossValidation : curve.noiseFigure;
	const target = curve.lambda.map(() => NOISE_FIGURE_TARGET);
	const chart = layOutLines({
		...size,
		x: curve.lambda,
		lines: by === "gcv" ? [column] : [column, target],
	});
	const mark = (at: number, kind: ChartMark["kind"], text: string): ChartMark => ({
		x: chart.xAt(at),
		y: chart.yAt(logInterpolated(curve.lambda, column, at)),
		kind,
		text,
	});
	return (
		<LineChartFrame
			{...frame}
			chart={chart}
			marks={marksOf(mark, lambda, tried)}
			vertical={chart.xAt(tried)}
			onChoose={onTry}
		/>
	);
}

function marksOf(
	mark: (at: number, kind: ChartMark["kind"], text: string) => ChartMark,
	inUse: number,
	tried: number,
): readonly ChartMark[] {
	const own = mark(inUse, "filled", strengthWords.inUse);
	return Math.abs(Math.log(tried / inUse)) < 0.02 ? [own] : [mark(tried, "open", strengthWords.tried), own];
}

const raised = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/** Powers of ten, as an axis names them. */
function power(value: number): string {
	const exponent = Math.round(Math.log10(value));
	if (exponent >= -1 && exponent <= 3) return String(Number(value.toPrecision(3)));
	const digits = Array.from(String(Math.abs(exponent)), (digit) => raised[Number(digit)]).join("");
	return `10${exponent < 0 ? "⁻" : ""}${digits}`;
}
