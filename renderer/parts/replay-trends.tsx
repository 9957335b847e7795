/** The lines of a whole recording with a playhead; a click goes there. */
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { ReplayState, Trends } from "../../app/contract.ts";
import type { SetSpan } from "../draw/set-spans.ts";
import { createTrendLines, type TrendLines } from "../draw/trend-lines.ts";
import { createTrendRing } from "../draw/trend-ring.ts";
import type { Span } from "../draw/trend-window.ts";
import { unitText } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { Icon } from "./icon.tsx";
import { useModel, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useLoaded } from "./use-request.ts";

const POINTS = 4000;

export function ReplayTrends({
	replay,
	of = "sections",
	spans,
	onTrends,
}: {
	readonly replay: ReplayState;
	readonly of?: "sections" | "volumes";
	/** Sets to show behind the lines; the same array while they stay the same. */
	readonly spans?: readonly SetSpan[];
	/** They have arrived. The same function while it does the same. */
	readonly onTrends?: (trends: Trends) => void;
}) {
	const { bridge, feed, frames, theme } = useModel();
	useSubscription(feed.onGeometry);
	const [zoom, setZoom] = useState<Span | null>(null);
	const loaded = useLoaded("getReplayTrends", { points: POINTS, of }, `trends ${replay.session.id} ${of}`);
	const trends = loaded.state === "ready" ? loaded.value : null;
	useEffect(() => {
		if (trends !== null) onTrends?.(trends);
	}, [trends, onTrends]);
	const ring = useMemo(() => (trends === null ? null : ringOf(trends)), [trends]);
	const unit = feed.geometry?.unit ?? "S/m";
	const host = useRef<HTMLDivElement>(null);
	const lines = useRef<TrendLines | null>(null);
	const shown = useRef({ replay, zoom });
	shown.current = { replay, zoom };

	useEffect(() => {
		if (ring === null || trends === null) return;
		const created = createTrendLines(
			host.current!,
			frames,
			theme,
			{
				regions: trends.regions.map((region, i) => ({ name: region.name, trendIndex: i })),
				unit,
				hasSpans: spans !== undefined,
				onZoom: (from, to) => setZoom({ from, to }),
				onPick: (seconds) => {
					const { durationSeconds } = shown.current.replay;
					const seekSeconds = Math.max(0, Math.min(durationSeconds, seconds));
					void bridge.request("controlReplay", { playing: null, speed: null, seekSeconds });
				},
			},
			() => ({
				ring,
				from: shown.current.zoom?.from ?? 0,
				to: shown.current.zoom?.to ?? Math.max(0.1, shown.current.replay.durationSeconds),
				axis: "clock",
				origin: 0,
				playhead: shown.current.replay.positionSeconds,
				marks: shown.current.replay.trendMarks,
				...(spans === undefined ? {} : { spans }),
			}),
		);
		lines.current = created;
		created.ask();
		return () => {
			lines.current = null;
			created.dispose();
		};
	}, [ring, trends, unit, spans, bridge, frames, theme]);

	// What is shown is read when drawing.
	useEffect(() => lines.current?.ask(), [replay.positionSeconds, zoom]);

	return (
		<section class="panel trend-panel" aria-label={words.trends.title}>
			<header class="panel-head">
				<div>
					<h2>{words.trends.title}</h2>
					<p class="panel-sub" role="status">
						{loaded.state === "loading" ? words.trends.computing : unitText(unit)}
					</p>
				</div>
				{zoom !== null && (
					<button type="button" class="button button-on" onClick={() => setZoom(null)}>
						<Icon name="left" />
						{words.trends.whole}
					</button>
				)}
			</header>
			{loaded.state === "failed" && <FaultNote fault={loaded.fault} />}
			<div
				ref={host}
				class="trend-host trend-host-pick"
				role="img"
				aria-label={words.trends.canvas(trends?.regions.length ?? 0)}
			/>
		</section>
	);
}

export function ringOf(trends: Trends) {
	const { regions, seconds, values } = trends;
	if (regions.length === 0 || seconds.length === 0) return null;
	const ring = createTrendRing(regions.length, Math.max(2, seconds.length));
	const row = new Float64Array(regions.length);
	for (let i = 0; i < seconds.length; i++) {
		for (let r = 0; r < row.length; r++) row[r] = values[r]![i] ?? Number.NaN;
		ring.push(seconds[i]!, row);
	}
	return ring;
}
