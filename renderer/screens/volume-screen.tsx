import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import type { PageModel } from "../page-model.ts";
import { CautionsDialog } from "../parts/cautions-dialog.tsx";
import { LiveBar } from "../parts/live-bar.tsx";
import { LiveTrends } from "../parts/live-trends.tsx";
import { ModelContext, useAppState, useModel, useSubscription } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { SectionPanel } from "../parts/section-panel.tsx";
import { isSimulated } from "../parts/simulated.ts";
import { useAction } from "../parts/use-request.ts";
import { VolumePanel } from "../parts/volume-panel.tsx";
import { firstVolumeSettings, type VolumeSettings } from "../parts/volume-settings.ts";
import { hashOf } from "../route.ts";
import { volumeWords } from "../text/volume-words.ts";
import { linkWords, words } from "../text/words.ts";

/** All bands as one picture in three dimensions. */
export function VolumeScreen() {
	const state = useAppState();
	const model = useModel();
	const start = useAction("startVolume");
	const [isAsking, setAsking] = useState(false);
	const [settings, setSettings] = useState<VolumeSettings>(firstVolumeSettings);
	const isStreaming = state.link.state !== "idle" && state.link.state !== "failed";
	useVolumePictures(model);

	// Once by itself, for that is what the screen is for; not again after somebody gave it up.
	const hasAsked = useRef(false);
	const isOff = state.volume.state === "off";
	useEffect(() => {
		if (!isStreaming || !isOff || hasAsked.current) return;
		hasAsked.current = true;
		void start.run(null);
	}, [isStreaming, isOff, start]);
	const noise = state.volume.state === "ready" ? state.volume.regionNoise : null;
	useEffect(() => {
		if (noise !== null) model.volume.setNoise(noise);
	}, [model, noise]);

	return (
		<>
			<h1 class="visually-hidden">{volumeWords.title}</h1>
			{isStreaming && <LiveBar onCautionsNeeded={() => setAsking(true)} />}
			{start.fault !== null && <FaultNote fault={start.fault} />}
			{isStreaming && state.link.state === "reconnecting" && <FaultNote fault={state.link.fault} />}
			{isStreaming && state.volume.state === "ready" ? (
				<Pictures
					state={state}
					settings={settings}
					onChange={(part) => setSettings({ ...settings, ...part })}
				/>
			) : (
				<NoVolume state={state} isStreaming={isStreaming} onStart={() => void start.run(null)} />
			)}
			{isAsking && <CautionsDialog onClose={() => setAsking(false)} />}
		</>
	);
}

/** While the screen is shown, the app sends volume pictures in the place of sections. */
function useVolumePictures({ volume, feed }: PageModel): void {
	useEffect(() => {
		const end = volume.open();
		return () => {
			end();
			// What the sections' lines have missed meanwhile.
			feed.refill();
		};
	}, [volume, feed]);
}

function Pictures({
	state,
	settings,
	onChange,
}: {
	readonly state: AppState;
	readonly settings: VolumeSettings;
	readonly onChange: (part: Partial<VolumeSettings>) => void;
}) {
	const model = useModel();
	useSubscription(model.volume.onChange);
	// Lines and figures are drawn by the same parts as those of sections.
	const ofVolume = useMemo<PageModel>(
		() => Object.create(model, { feed: { value: model.volume.section, enumerable: true } }),
		[model],
	);
	if (model.volume.fault !== null) return <FaultNote fault={model.volume.fault} />;
	return (
		<ModelContext.Provider value={ofVolume}>
			<div class="volume">
				<VolumePanel isSimulated={isSimulated(state)} settings={settings} onChange={onChange} />
				<div class="live-side">
					<SectionPanel settings={settings} />
					<LiveTrends />
				</div>
			</div>
		</ModelContext.Provider>
	);
}

function NoVolume({
	state,
	isStreaming,
	onStart,
}: {
	readonly state: AppState;
	readonly isStreaming: boolean;
	readonly onStart: () => void;
}) {
	const { volume, link } = state;
	const stop = useAction("stopVolume");
	if (!isStreaming) {
		return (
			<EmptyNote title={words.live.emptyTitle} text={words.live.emptyText}>
				<a class="button button-primary" href={hashOf({ screen: "connect" })}>
					{words.live.goConnect}
				</a>
			</EmptyNote>
		);
	}
	switch (volume.state) {
		case "off":
			return (
				<EmptyNote title={volumeWords.offTitle} text={volumeWords.offText}>
					<button type="button" class="button button-primary" onClick={onStart}>
						{volumeWords.prepare}
					</button>
				</EmptyNote>
			);
		case "waiting":
			if (volume.for === "places") {
				return (
					<EmptyNote title={volumeWords.placesTitle} text={volumeWords.placesText}>
						<a class="button button-primary" href={hashOf({ screen: "set-up" })}>
							{volumeWords.goSetUp}
						</a>
					</EmptyNote>
				);
			}
			return (
				<LoadingNote
					text={
						volume.for === "rest"
							? volumeWords.waitingRest
							: link.state === "streaming"
								? volumeWords.waitingBands
								: words.live.waitingFor(linkWords(link))
					}
				/>
			);
		case "preparing":
			return (
				<div class="empty">
					<h2>{volumeWords.preparing}</h2>
					<p>{volumeWords.preparingText}</p>
					<progress class="volume-progress" max={1} value={volume.share} aria-label={volumeWords.preparing} />
					<p role="status">{volumeWords.share(volume.step, Math.round(100 * volume.share))}</p>
					<div class="empty-actions">
						<button type="button" class="button" disabled={stop.isBusy} onClick={() => void stop.run(null)}>
							{volumeWords.cancel}
						</button>
					</div>
				</div>
			);
		case "failed":
			return (
				<div class="empty">
					<h2>{volumeWords.failed}</h2>
					<FaultNote fault={volume.fault} />
					<div class="empty-actions">
						<button type="button" class="button button-primary" onClick={onStart}>
							{volumeWords.again}
						</button>
						<a class="button" href={hashOf({ screen: "set-up" })}>
							{volumeWords.goSetUp}
						</a>
					</div>
				</div>
			);
		case "ready":
			return <LoadingNote text={volumeWords.drawing} />;
	}
}
