/** The volume with its legend, its fixed views and what is shown of it. */
import type { ComponentChildren } from "preact";
import { useId, useState } from "preact/hooks";
import { type Orbit, standardOrbit, standardViews, startOrbit } from "../draw/orbit.ts";
import { formatChange } from "../text/quantity.ts";
import { volumeWords } from "../text/volume-words.ts";
import { words } from "../text/words.ts";
import { Legend } from "./legend.tsx";
import { useAppState, useModel, usePreferences, useSubscription } from "./model-context.ts";
import { ScaleLock } from "./scale-lock.tsx";
import { VolumeCanvas } from "./volume-canvas.tsx";
import type { VolumeSettings } from "./volume-settings.ts";
import { VolumeSummary } from "./volume-summary.tsx";

export function VolumePanel({
	isSimulated,
	settings,
	onChange,
}: {
	readonly isSimulated: boolean;
	readonly settings: VolumeSettings;
	readonly onChange: (part: Partial<VolumeSettings>) => void;
}) {
	const { volume } = useModel();
	useSubscription(volume.onChange);
	const state = useAppState();
	const [{ largeView }] = usePreferences();
	const summaryId = useId();
	const side = volume.shape?.geometry.side ?? state.setup.limb.side;
	const [orbit, setOrbit] = useState<Orbit>(() => startOrbit(side));
	const { range, shape } = volume;
	const radius = shape === null ? 0.08 : Math.round(100 * shape.radius) / 100;

	return (
		<section class="panel volume-panel" aria-label={volumeWords.title}>
			<header class="panel-head">
				<div>
					<h2>{side === "left" ? words.picture.leftThigh : words.picture.rightThigh}</h2>
					<p class="panel-sub">
						{words.picture.title}
						{isSimulated && <span class="tag tag-simulated tag-after">{words.status.simulated}</span>}
					</p>
				</div>
				<fieldset class="volume-views">
					<legend class="visually-hidden">{volumeWords.view}</legend>
					{standardViews.map((view) => (
						<button
							key={view}
							type="button"
							class="button button-quiet button-small"
							onClick={() => setOrbit(standardOrbit(view, side))}
						>
							{volumeWords.views[view]}
						</button>
					))}
					<button
						type="button"
						class="button button-quiet button-small"
						title={volumeWords.startHint}
						onClick={() => setOrbit(startOrbit(side))}
					>
						{volumeWords.start}
					</button>
				</fieldset>
			</header>
			<div class="volume-middle">
				<VolumeCanvas
					settings={settings}
					orbit={orbit}
					onTurn={setOrbit}
					isLarge={largeView}
					leftOut={state.volume.state === "ready" ? state.volume.leftOut : []}
					label={volumeWords.canvas(
						shape?.geometry.regions
							.filter(({ trendIndex }) => trendIndex !== null)
							.map(({ name }) => name)
							.join(", ") ?? "",
					)}
					describedBy={summaryId}
				/>
				<aside class="picture-side">
					<Legend scale="change" range={range.value} unit="S/m" />
					<ScaleLock range={range} />
				</aside>
			</div>
			<VolumeSummary id={summaryId} />
			<div class="volume-controls">
				<Shown
					label={volumeWords.crossings}
					isShown={settings.showsCrossings}
					onShow={(showsCrossings) => onChange({ showsCrossings })}
				>
					<p class="volume-value">{volumeWords.crossingsHint}</p>
				</Shown>
				<Shown
					label={volumeWords.sagittal}
					isShown={settings.showsSagittal}
					onShow={(showsSagittal) => onChange({ showsSagittal })}
				>
					<Place
						label={volumeWords.sagittal}
						reach={radius}
						value={settings.sagittal}
						text={volumeWords.fromMiddle(
							settings.sagittal,
							settings.sagittal > 0 ? volumeWords.left : volumeWords.right,
						)}
						onPlace={(sagittal) => onChange({ sagittal })}
					/>
				</Shown>
				<Shown
					label={volumeWords.coronal}
					isShown={settings.showsCoronal}
					onShow={(showsCoronal) => onChange({ showsCoronal })}
				>
					<Place
						label={volumeWords.coronal}
						reach={radius}
						value={settings.coronal}
						text={volumeWords.fromMiddle(
							settings.coronal,
							settings.coronal > 0 ? volumeWords.front : volumeWords.back,
						)}
						onPlace={(coronal) => onChange({ coronal })}
					/>
				</Shown>
				<Shown
					label={volumeWords.surface}
					isShown={settings.showsSurface}
					onShow={(showsSurface) => onChange({ showsSurface })}
				>
					<input
						type="range"
						min={0.1}
						max={0.9}
						step={0.05}
						value={settings.surface}
						aria-label={volumeWords.place(volumeWords.surface)}
						aria-valuetext={surfaceText(settings.surface * range.value)}
						onInput={(event) => onChange({ surface: event.currentTarget.valueAsNumber })}
					/>
					<p class="volume-value">{surfaceText(settings.surface * range.value)}</p>
				</Shown>
			</div>
		</section>
	);
}

function surfaceText(level: number): string {
	return volumeWords.surfaceAt(formatChange(level, "S/m").replace("+", ""));
}

function Shown({
	label,
	isShown,
	onShow,
	children,
}: {
	readonly label: string;
	readonly isShown: boolean;
	readonly onShow: (isShown: boolean) => void;
	readonly children: ComponentChildren;
}) {
	return (
		<div class={isShown ? "volume-shown" : "volume-shown volume-hidden"}>
			<label class="volume-check">
				<input type="checkbox" checked={isShown} onChange={(event) => onShow(event.currentTarget.checked)} />
				{label}
			</label>
			{children}
		</div>
	);
}

function Place({
	label,
	reach,
	value,
	text,
	onPlace,
}: {
	readonly label: string;
	readonly reach: number;
	readonly value: number;
	readonly text: string;
	readonly onPlace: (value: number) => void;
}) {
	return (
		<>
			<input
				type="range"
				min={-reach}
				max={reach}
				step={0.001}
				value={value}
				aria-label={volumeWords.place(label)}
				aria-valuetext={text}
				onInput={(event) => onPlace(event.currentTarget.valueAsNumber)}
			/>
			<p class="volume-value">{text}</p>
		</>
	);
}
