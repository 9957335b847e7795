/** The limb in three dimensions: brings its drawing code only when it is shown, and says so where nothing can be drawn. */
import { useEffect, useRef, useState } from "preact/hooks";
import { type Orbit, orbitAfterKey, turned } from "../draw/orbit.ts";
import type { VolumeView } from "../draw/volume-view.ts";
import { volumeWords } from "../text/volume-words.ts";
import { useModel, useSubscription } from "./model-context.ts";
import { crossingsOf, type VolumeSettings } from "./volume-settings.ts";

/** Radians for a pixel of dragging. */
const DRAG = 0.008;
/** Factor on the distance for a pixel of the wheel. */
const WHEEL = 1.0012;

type Graphics = "opening" | "shown" | "lost" | "missing";

export function VolumeCanvas({
	settings,
	orbit,
	onTurn,
	isLarge,
	leftOut,
	label,
	describedBy,
}: {
	readonly settings: VolumeSettings;
	readonly orbit: Orbit;
	readonly onTurn: (orbit: Orbit) => void;
	readonly isLarge: boolean;
	/** [bands] numbers of electrodes that the volume is made without. */
	readonly leftOut: readonly (readonly number[])[];
	readonly label: string;
	readonly describedBy: string;
}) {
	const { volume, frames, theme } = useModel();
	useSubscription(volume.onChange);
	const [graphics, setGraphics] = useState<Graphics>("opening");
	const host = useRef<HTMLDivElement>(null);
	const view = useRef<VolumeView | null>(null);
	const { shape, height, range } = volume;

	useEffect(() => {
		let isLeft = false;
		let stop = (): void => {};
		void import("../draw/volume-view.ts").then(
			({ createVolumeView }) => {
				if (isLeft) return;
				const created = createVolumeView(host.current!, frames, theme, (isLost) =>
					setGraphics(isLost ? "lost" : "shown"),
				);
				if (created === null) {
					setGraphics("missing");
					return;
				}
				view.current = created;
				const show = (): void => {
					const { newest } = volume;
					const isOfShape = newest?.nodeValues.length === volume.shape?.nodeCount;
					created.show(isOfShape ? (newest?.nodeValues ?? null) : null, volume.range.value);
				};
				const stops = [volume.onPicture(show), volume.onChange(show)];
				stop = () => {
					for (const end of stops) end();
					created.dispose();
				};
				setGraphics("shown");
				show();
			},
			() => setGraphics("missing"),
		);
		return () => {
			isLeft = true;
			view.current = null;
			stop();
		};
	}, [volume, frames, theme]);

	// Lists come anew with each state; the key holds what they say.
	const leftOutKey = JSON.stringify(leftOut);
	const isOpen = graphics === "shown" || graphics === "lost";
	useEffect(() => view.current?.setShape(shape), [shape, isOpen]);
	useEffect(() => view.current?.turn(orbit), [orbit, isOpen]);
	useEffect(() => {
		if (shape === null) return;
		view.current?.set({
			crossings: settings.showsCrossings ? crossingsOf(shape) : [],
			chosen: height,
			sagittal: settings.showsSagittal ? shape.middle[0] + settings.sagittal : null,
			coronal: settings.showsCoronal ? shape.middle[1] + settings.coronal : null,
			surface: settings.showsSurface ? settings.surface : null,
			leftOut,
			isLarge,
		});
	}, [settings, height, shape, isLarge, leftOutKey, isOpen]);
	useEffect(() => {
		const { newest } = volume;
		if (newest !== null && newest.nodeValues.length === shape?.nodeCount)
			view.current?.show(newest.nodeValues, range.value);
	}, [shape, isOpen, volume, range.value]);

	const side = shape?.geometry.side ?? null;
	const now = useRef(orbit);
	now.current = orbit;

	// Passive listeners cannot keep the page from scrolling.
	useEffect(() => {
		const element = host.current!;
		function onWheel(event: WheelEvent): void {
			event.preventDefault();
			onTurn(turned(now.current, 0, 0, WHEEL ** event.deltaY));
		}
		element.addEventListener("wheel", onWheel, { passive: false });
		return () => element.removeEventListener("wheel", onWheel);
	}, [onTurn]);

	function onPointerMove(event: PointerEvent): void {
		if (!host.current!.hasPointerCapture(event.pointerId)) return;
		onTurn(turned(now.current, -DRAG * event.movementX, DRAG * event.movementY));
	}

	function onKeyDown(event: KeyboardEvent): void {
		if (event.ctrlKey || event.altKey || event.metaKey) return;
		const next = orbitAfterKey(orbit, event.key, side);
		if (next === null) return;
		event.preventDefault();
		onTurn(next);
	}

	return (
		<div class="volume-body">
			<div
				ref={host}
				class="volume-host"
				role="img"
				// biome-ignore lint/a11y/noNoninteractiveTabindex: the picture is turned by keys, and says so
				tabIndex={0}
				title={volumeWords.keys}
				aria-label={label}
				aria-describedby={describedBy}
				onKeyDown={onKeyDown}
				onPointerDown={(event) => {
					if (event.button === 0) event.currentTarget.setPointerCapture(event.pointerId);
				}}
				onPointerMove={onPointerMove}
			/>
			<p class="volume-seen">{volumeWords.seenFrom(orbit, side)}</p>
			{graphics === "opening" && <p class="volume-note">{volumeWords.drawing}</p>}
			{graphics === "lost" && (
				<p class="volume-note" role="status">
					{volumeWords.lost}
				</p>
			)}
			{graphics === "missing" && (
				<div class="volume-note" role="alert">
					<h3>{volumeWords.noGraphicsTitle}</h3>
					<p>{volumeWords.noGraphicsText}</p>
				</div>
			)}
		</div>
	);
}
