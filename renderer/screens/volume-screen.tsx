import { useEffect, useRef, useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import { CautionsDialog } from "../parts/cautions-dialog.tsx";
import { LiveBar } from "../parts/live-bar.tsx";
import { LiveTrends } from "../parts/live-trends.tsx";
import { useAppState, useModel } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { isSimulated } from "../parts/simulated.ts";
import { useAction } from "../parts/use-request.ts";
import { useVolumePictures, VolumePictures } from "../parts/volume-pictures.tsx";
import { VolumeFailed, VolumePreparing } from "../parts/volume-states.tsx";
import { hashOf } from "../route.ts";
import { volumeWords } from "../text/volume-words.ts";
import { linkWords, words } from "../text/words.ts";

/** All bands as one picture in three dimensions. */
export function VolumeScreen() {
	const state = useAppState();
	const model = useModel();
	const start = useAction("startVolume");
	const [isAsking, setAsking] = useState(false);
	const isStreaming = state.link.state !== "idle" && state.link.state !== "failed";
	// One that was left is about to be closed: until then volumes are its.
	const isLive = state.replay === null;
	useVolumePictures(model);

	// Once by itself, for that is what the screen is for; not again after somebody gave it up.
	const hasAsked = useRef(false);
	const isOff = state.volume.state === "off";
	useEffect(() => {
		if (!isStreaming || !isLive || !isOff || hasAsked.current) return;
		hasAsked.current = true;
		void start.run(null);
	}, [isStreaming, isLive, isOff, start]);
	return (
		<>
			<h1 class="visually-hidden">{volumeWords.title}</h1>
			{isStreaming && <LiveBar onCautionsNeeded={() => setAsking(true)} />}
			{start.fault !== null && <FaultNote fault={start.fault} />}
			{isStreaming && state.link.state === "reconnecting" && <FaultNote fault={state.link.fault} />}
			{!isLive ? (
				<LoadingNote text={volumeWords.drawing} />
			) : isStreaming && state.volume.state === "ready" ? (
				<VolumePictures isSimulated={isSimulated(state)}>
					<LiveTrends />
				</VolumePictures>
			) : (
				<NoVolume state={state} isStreaming={isStreaming} onStart={() => void start.run(null)} />
			)}
			{isAsking && <CautionsDialog onClose={() => setAsking(false)} />}
		</>
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
			return <VolumePreparing step={volume.step} share={volume.share} />;
		case "failed":
			return (
				<VolumeFailed fault={volume.fault} onAgain={onStart}>
					<a class="button" href={hashOf({ screen: "set-up" })}>
						{volumeWords.goSetUp}
					</a>
				</VolumeFailed>
			);
		case "impossible":
			return <EmptyNote title={volumeWords.impossible} text={volumeWords.missing[volume.missing]} />;
		case "ready":
			return <LoadingNote text={volumeWords.drawing} />;
	}
}
