/** The volume's cross-section at a chosen height, drawn as every other section, with where the lengthwise planes cut it. */
import { useEffect, useMemo, useRef } from "preact/hooks";
import type { AutoRange } from "../draw/auto-range.ts";
import { fitView, fromCanvas, type LimbView } from "../draw/limb-view.ts";
import { OVERLAY_MARGIN } from "../draw/picture-overlay.ts";
import { createPictureView, type PictureView } from "../draw/picture-view.ts";
import type { PictureFeed } from "../picture-feed.ts";
import { volumeWords } from "../text/volume-words.ts";
import { words } from "../text/words.ts";
import { useAppState, useModel, usePreferences, useSubscription } from "./model-context.ts";
import type { VolumeSettings } from "./volume-settings.ts";

const HEIGHT_STEP = 0.001;
/** px; of a canvas too small for a limb beside its numbers */
const LEAST_SIZE = 120;

export function SectionPanel({
	settings,
	onChange,
}: {
	readonly settings: VolumeSettings;
	readonly onChange: (part: Partial<VolumeSettings>) => void;
}) {
	const { volume, frames, theme } = useModel();
	useSubscription(volume.onChange);
	const [{ mirrored }] = usePreferences();
	const host = useRef<HTMLDivElement>(null);
	const view = useRef<PictureView | null>(null);
	const range = useMemo(() => createFollower(volume.range), [volume]);
	const { shape, height, section } = volume;
	const band =
		section.geometry === null || section.geometry.electrodes.length === 0 ? null : section.geometry.bandIndex;
	const state = useAppState().volume;
	// Lists come anew with each state; the text holds what they say.
	const lost = band === null || state.state !== "ready" ? "" : (state.leftOut[band]?.join() ?? "");

	useEffect(() => {
		const created = createPictureView(host.current!, section, frames, theme, range, () => {});
		view.current = created;
		const stop = volume.onChange(() => created.ask());
		return () => {
			view.current = null;
			stop();
			created.dispose();
		};
	}, [volume, section, frames, theme, range]);
	useEffect(() => {
		const without = lost === "" ? [] : lost.split(",").map(Number);
		view.current?.set({ scale: "change", mirrored, contacts: [], leftOut: without, isLarge: false });
	}, [mirrored, volume.range.value, lost]);
	useEffect(() => {
		view.current?.cut({
			x: shape !== null && settings.showsSagittal ? shape.middle[0] + settings.sagittal : null,
			y: shape !== null && settings.showsCoronal ? shape.middle[1] + settings.coronal : null,
		});
	}, [shape, settings]);

	function placePlanes(event: PointerEvent): void {
		const box = host.current!.getBoundingClientRect();
		const limb = shape === null ? null : viewOf(section, box.width, box.height, mirrored);
		if (shape === null || limb === null) return;
		const [x, y] = fromCanvas(limb, event.clientX - box.left, event.clientY - box.top);
		const within = (metre: number): number =>
			Math.max(-shape.radius, Math.min(shape.radius, Math.round(1000 * metre) / 1000));
		onChange({ sagittal: within(x - shape.middle[0]), coronal: within(y - shape.middle[1]) });
	}

	return (
		<section class="panel section-panel" aria-label={words.picture.title}>
			<header class="panel-head">
				<div>
					<h2>{Number.isNaN(height) ? words.live.waiting : volumeWords.section(height)}</h2>
					<p class="panel-sub">{volumeWords.sectionSub(band)}</p>
				</div>
				{shape !== null && (
					<div class="section-bands">
						{shape.geometry.bandHeights.map((bandHeight, i) => (
							<button
								key={i}
								type="button"
								class="button button-quiet button-small"
								aria-pressed={Math.abs(height - bandHeight) < HEIGHT_STEP / 2}
								onClick={() => volume.setHeight(bandHeight)}
							>
								{volumeWords.atBand(i)}
							</button>
						))}
					</div>
				)}
			</header>
			<div class="section-body">
				<div class="section-picture">
					<div
						ref={host}
						class="picture-host"
						role="img"
						aria-label={Number.isNaN(height) ? words.live.waiting : volumeWords.section(height)}
						title={volumeWords.placePlanes}
						onPointerDown={(event) => {
							if (event.button !== 0) return;
							event.currentTarget.setPointerCapture(event.pointerId);
							placePlanes(event);
						}}
						onPointerMove={(event) => {
							if (event.currentTarget.hasPointerCapture(event.pointerId)) placePlanes(event);
						}}
					/>
				</div>
			</div>
			{shape !== null && (
				<div class="section-foot">
					<input
						type="range"
						min={shape.low}
						max={shape.high}
						step={HEIGHT_STEP}
						value={height}
						aria-label={volumeWords.height}
						aria-valuetext={volumeWords.heightValue(height)}
						onInput={(event) => volume.setHeight(event.currentTarget.valueAsNumber)}
					/>
				</div>
			)}
		</section>
	);
}

/** The volume's scale, which a cross-section alone does not move. */
function createFollower(range: AutoRange): AutoRange {
	return {
		get value() {
			return range.value;
		},
		locked: true,
		update: () => false,
		setFloor() {},
		reset() {},
	};
}

/** Where the picture's canvas has the limb; null before there is one, or room. @param width, height px */
function viewOf(
	{ geometry }: PictureFeed,
	width: number,
	height: number,
	mirrored: boolean,
): LimbView | null {
	if (geometry === null || width <= LEAST_SIZE || height <= LEAST_SIZE) return null;
	const box = {
		left: OVERLAY_MARGIN,
		top: OVERLAY_MARGIN,
		right: width - OVERLAY_MARGIN,
		bottom: height - OVERLAY_MARGIN,
	};
	return fitView(geometry.skin, box, mirrored);
}
