import type { ComponentChildren } from "preact";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import { type GaugeShape, gaugeOf, type OwnScale } from "../draw/coach-gauge.ts";
import { coachWords } from "../text/coach-words.ts";
import { formatChange, type Unit } from "../text/quantity.ts";

/** The tube's left edge and width, and the target's, in percent of the drawing: the target is the wider one. */
const TUBE = { x: "16%", width: "68%" } as const;
const ROUND = 28;

/** One upright band that fills with effort, with the place to aim at. No figures: it is read from three metres. */
export function CoachGauge({
	view,
	hasReference,
	own,
	unit,
}: {
	readonly view: CoachView;
	readonly hasReference: boolean;
	readonly own: OwnScale;
	readonly unit: Unit;
}) {
	const shape = gaugeOf(view, hasReference, own);
	const { level, place } = shape;
	const words = place === null ? "" : coachWords.places[place];
	return (
		<>
			<svg
				class={`gauge gauge-${place ?? "none"}`}
				role="img"
				aria-label={coachWords.gauge(level === null && place === null ? coachWords.nothing : words)}
			>
				<clipPath id="gauge-inside">
					<rect {...TUBE} y="0" height="100%" rx={ROUND} />
				</clipPath>
				<rect class="gauge-back" {...TUBE} y="0" height="100%" rx={ROUND} />
				<Fill level={level} />
				<Target target={shape.target} />
				<Most most={shape.most} />
				<Pointer level={level} />
			</svg>
			<p class="coach-gauge-words">{words}</p>
			<p class="coach-gauge-raw figures">
				{view.live.kind === "raw"
					? coachWords.noReference(formatChange(view.live.change, unit, { digits: 1 }))
					: " "}
			</p>
		</>
	);
}

function Fill({ level }: Pick<GaugeShape, "level">) {
	const fill = level ?? 0;
	return (
		<g clip-path="url(#gauge-inside)">
			<rect class="gauge-fill" {...TUBE} y={fromTop(fill)} height={percent(fill)} />
		</g>
	);
}

function Target({ target }: Pick<GaugeShape, "target">) {
	if (target === null) return null;
	return (
		<rect
			class="gauge-target"
			x="3%"
			width="94%"
			y={fromTop(target.high)}
			height={percent(target.high - target.low)}
			rx="16"
		/>
	);
}

/** Something drawn around the height of a level, 0 to 1 of the gauge. */
function Mark({
	name,
	at,
	children,
}: {
	readonly name: string;
	readonly at: number;
	readonly children: ComponentChildren;
}) {
	return (
		<svg aria-hidden="true" class={name} x="0" y={fromTop(at)} width="100%" height="1" overflow="visible">
			{children}
		</svg>
	);
}

/** Without a reference the only mark that means something is one's own most. */
function Most({ most }: Pick<GaugeShape, "most">) {
	if (most === null) return null;
	return (
		<Mark name="gauge-most" at={most}>
			<rect {...TUBE} height="3" />
			<text x="50%" y="-18">
				{coachWords.most}
			</text>
		</Mark>
	);
}

/** Where one is: a bar across, with an arrow head on both sides, so that it is found without its colour. */
function Pointer({ level }: Pick<GaugeShape, "level">) {
	if (level === null) return null;
	return (
		<Mark name="gauge-level" at={level}>
			<rect {...TUBE} y="-9" height="18" />
			<path d="M0 -24L34 0L0 24Z" />
			<svg aria-hidden="true" x="100%" overflow="visible">
				<path d="M0 -24L-34 0L0 24Z" />
			</svg>
		</Mark>
	);
}

function percent(share: number): string {
	return `${(100 * share).toFixed(2)}%`;
}

function fromTop(share: number): string {
	return percent(1 - share);
}
