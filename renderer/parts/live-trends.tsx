/** Live lines of region means: follows the newest, or stands still to be looked at. */
import { useEffect, useRef, useState } from "preact/hooks";
import { createTrendLines, type TrendLines } from "../draw/trend-lines.ts";
import { followingSpan, moveSpan, type Span, zoomSpan } from "../draw/trend-window.ts";
import { unitText } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { Choice } from "./choice.tsx";
import { Icon } from "./icon.tsx";
import { useModel, usePreferences, useSubscription } from "./model-context.ts";
import { trendRegions } from "./trend-regions.ts";

export function LiveTrends() {
	const model = useModel();
	const { feed, frames, theme } = model;
	useSubscription(feed.onGeometry);
	const [{ trendWindow }, setPreferences] = usePreferences();
	const [held, setHeld] = useState<Span | null>(null);
	const unit = feed.geometry?.unit ?? "S/m";
	const host = useRef<HTMLDivElement>(null);
	const lines = useRef<TrendLines | null>(null);
	const shown = useRef({ held, trendWindow });
	shown.current = { held, trendWindow };
	const ring = feed.trends;
	const regions = trendRegions(feed.geometry);

	// Regions are fixed for a ring.
	useEffect(() => {
		if (ring === null) return;
		const created = createTrendLines(
			host.current!,
			frames,
			theme,
			{
				regions,
				unit,
				onZoom: (from, to) => setHeld(moveSpan({ from, to }, 0, ...bounds())),
				onPick: () => {},
			},
			() => {
				if (ring.end === ring.first) return null;
				const span = shown.current.held ?? spanNow();
				const isFollowing = shown.current.held === null && shown.current.trendWindow !== "all";
				return {
					ring,
					...span,
					axis: isFollowing ? "ago" : "clock",
					origin: isFollowing ? span.to : ring.secondsAt(ring.first),
					playhead: null,
					...(model.state !== null && { marks: model.state.trendMarks }),
				};
			},
		);
		lines.current = created;
		created.ask();
		const stop = feed.onPicture(() => created.ask());
		return () => {
			stop();
			lines.current = null;
			created.dispose();
		};
	}, [ring, unit, feed, frames, theme]);

	// What is shown is read when drawing.
	useEffect(() => lines.current?.ask(), [held, trendWindow]);

	function bounds(): [number, number] {
		if (ring === null || ring.end === ring.first) return [0, 1];
		return [ring.secondsAt(ring.first), ring.secondsAt(ring.end - 1)];
	}

	function spanNow(): Span {
		return followingSpan(shown.current.trendWindow, ...bounds());
	}

	function zoom(factor: number): void {
		setHeld(zoomSpan(held ?? spanNow(), factor, ...bounds()));
	}

	function move(share: number): void {
		setHeld(moveSpan(held ?? spanNow(), share, ...bounds()));
	}

	function onKeyDown(event: KeyboardEvent): void {
		const action = {
			"+": () => zoom(0.5),
			"=": () => zoom(0.5),
			"-": () => zoom(2),
			ArrowLeft: () => move(-0.2),
			ArrowRight: () => move(0.2),
			Escape: () => setHeld(null),
		}[event.key];
		if (action === undefined) return;
		event.preventDefault();
		action();
	}

	return (
		<section class="panel trend-panel" aria-label={words.trends.title}>
			<header class="panel-head">
				<div>
					<h2>{words.trends.title}</h2>
					<p class="panel-sub">{unitText(unit)}</p>
				</div>
				<div class="panel-tools">
					<Choice
						label={words.trends.window}
						options={[
							{ value: 10, text: words.trends.seconds10 },
							{ value: 60, text: words.trends.minute1 },
							{ value: "all", text: words.trends.all },
						]}
						value={trendWindow}
						onChoose={(next) => {
							setPreferences({ trendWindow: next });
							setHeld(null);
						}}
					/>
					<div class="button-row">
						<button
							type="button"
							class="button button-quiet button-icon"
							title={words.trends.zoomOut}
							aria-label={words.trends.zoomOut}
							onClick={() => zoom(2)}
						>
							−
						</button>
						<button
							type="button"
							class="button button-quiet button-icon"
							title={words.trends.zoomIn}
							aria-label={words.trends.zoomIn}
							onClick={() => zoom(0.5)}
						>
							+
						</button>
						<button
							type="button"
							class={held === null ? "button button-quiet button-steady" : "button button-on button-steady"}
							onClick={() => setHeld(held === null ? spanNow() : null)}
						>
							<Icon name={held === null ? "pause" : "play"} />
							{held === null ? words.trends.pause : words.trends.resume}
						</button>
					</div>
				</div>
			</header>
			<div
				ref={host}
				class="trend-host"
				role="img"
				// biome-ignore lint/a11y/noNoninteractiveTabindex: see above
				tabIndex={0}
				title={words.trends.zoomHint}
				aria-label={words.trends.canvas(regions.length)}
				onKeyDown={onKeyDown}
			/>
		</section>
	);
}
