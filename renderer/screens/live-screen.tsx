import { useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import { CautionsDialog } from "../parts/cautions-dialog.tsx";
import { LargeReadouts } from "../parts/large-readouts.tsx";
import { LiveBar } from "../parts/live-bar.tsx";
import { LiveTrends } from "../parts/live-trends.tsx";
import { useAppState, usePreferences } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PicturePanel } from "../parts/picture-panel.tsx";
import { ReadoutPanel } from "../parts/readout-panel.tsx";
import { isSimulated } from "../parts/simulated.ts";
import { hashOf } from "../route.ts";
import { linkWords, words } from "../text/words.ts";

/** The picture, its lines and its figures, live. */
export function LiveScreen() {
	const state = useAppState();
	const [{ largeView }] = usePreferences();
	const [isAsking, setAsking] = useState(false);
	return (
		<>
			<h1 class="visually-hidden">{words.live.title}</h1>
			{state.link.state !== "idle" && state.link.state !== "failed" && (
				<LiveBar onCautionsNeeded={() => setAsking(true)} />
			)}
			{hasPicture(state) && state.link.state === "reconnecting" && <FaultNote fault={state.link.fault} />}
			{hasPicture(state) ? (
				<div class={largeView ? "live live-large" : "live"}>
					<PicturePanel isSimulated={isSimulated(state)} />
					{largeView ? (
						<LargeReadouts />
					) : (
						<div class="live-side">
							<LiveTrends />
							<ReadoutPanel />
						</div>
					)}
				</div>
			) : (
				<NoPicture state={state} />
			)}
			{isAsking && <CautionsDialog onClose={() => setAsking(false)} />}
		</>
	);
}

function hasPicture(state: AppState): boolean {
	return state.picture.state === "ready" && state.link.state !== "idle" && state.link.state !== "failed";
}

/** Says why there is no picture and what to do about it. */
function NoPicture({ state }: { readonly state: AppState }) {
	const connect = (
		<a class="button button-primary" href={hashOf({ screen: "connect" })}>
			{words.live.goConnect}
		</a>
	);
	if (state.link.state === "failed") {
		return (
			<div class="empty">
				<h2>{linkWords(state.link)}</h2>
				<FaultNote fault={state.link.fault} />
				<div class="empty-actions">{connect}</div>
			</div>
		);
	}
	if (state.link.state === "reconnecting") {
		return (
			<div class="empty">
				<h2>{linkWords(state.link)}</h2>
				<FaultNote fault={state.link.fault} />
			</div>
		);
	}
	if (state.picture.state === "failed") {
		return (
			<div class="empty">
				<h2>{words.live.failed}</h2>
				<FaultNote fault={state.picture.fault} />
			</div>
		);
	}
	if (state.link.state === "idle") {
		return (
			<EmptyNote title={words.live.emptyTitle} text={words.live.emptyText}>
				{connect}
			</EmptyNote>
		);
	}
	if (state.picture.state === "preparing") {
		return <LoadingNote text={words.live.preparingStep(state.picture.step)} />;
	}
	return <LoadingNote text={words.live.waitingFor(linkWords(state.link))} />;
}
