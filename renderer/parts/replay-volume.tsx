/** The volume of a stored session at the moment that its replay is at. */
import { useEffect, useRef } from "preact/hooks";
import type { ReplayState } from "../../app/contract.ts";
import { volumeWords } from "../text/volume-words.ts";
import { useAppState, useModel } from "./model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "./notes.tsx";
import { ReplayTrends } from "./replay-trends.tsx";
import { useAction } from "./use-request.ts";
import { useVolumePictures, VolumePictures } from "./volume-pictures.tsx";
import { VolumeFailed, VolumePreparing } from "./volume-states.tsx";

export function ReplayVolume({ replay }: { readonly replay: ReplayState }) {
	const model = useModel();
	const { volume } = useAppState();
	const start = useAction("startVolume");
	useVolumePictures(model);
	// What is there may be of the live board, or of another session.
	useEffect(() => {
		model.volume.reset();
		return () => model.volume.reset();
	}, [model]);
	// Once by itself, for that is what somebody came here for; not again after it was given up.
	const hasAsked = useRef(false);
	const isOff = volume.state === "off";
	useEffect(() => {
		if (!isOff || hasAsked.current) return;
		hasAsked.current = true;
		void start.run(null);
	}, [isOff, start]);

	if (start.fault !== null) return <FaultNote fault={start.fault} />;
	switch (volume.state) {
		case "off":
			return (
				<EmptyNote title={volumeWords.offTitle} text={volumeWords.offText}>
					<button type="button" class="button button-primary" onClick={() => void start.run(null)}>
						{volumeWords.prepare}
					</button>
				</EmptyNote>
			);
		case "impossible":
			return <EmptyNote title={volumeWords.impossible} text={volumeWords.missing[volume.missing]} />;
		case "preparing":
			return <VolumePreparing step={volume.step} share={volume.share} />;
		case "failed":
			return <VolumeFailed fault={volume.fault} onAgain={() => void start.run(null)} />;
		case "waiting":
			return <LoadingNote text={volumeWords.drawing} />;
		case "ready":
			return (
				<VolumePictures isSimulated={replay.session.simulated} isReplay>
					<ReplayTrends replay={replay} of="volumes" />
				</VolumePictures>
			);
	}
}
