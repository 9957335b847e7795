import { useState } from "preact/hooks";
import { Choice } from "../parts/choice.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState, useModel, useSubscription } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PicturePanel } from "../parts/picture-panel.tsx";
import { ReadoutPanel } from "../parts/readout-panel.tsx";
import { ReplayControls } from "../parts/replay-controls.tsx";
import { ReplayMarks } from "../parts/replay-marks.tsx";
import { ReplayNotes } from "../parts/replay-notes.tsx";
import { ReplayTrends } from "../parts/replay-trends.tsx";
import { ReplayVolume } from "../parts/replay-volume.tsx";
import { trendRegions } from "../parts/trend-regions.ts";
import { useReplay } from "../parts/use-replay.ts";
import { hashOf } from "../route.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";
import { SessionTags, titleOf } from "./sessions-screen.tsx";

/** A stored recording: the same picture and lines as live, and where in it we are. */
export function ReplayScreen({ sessionId }: { readonly sessionId: number }) {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const state = useAppState();
	const { replay, fault } = useReplay(sessionId);
	const [view, setView] = useState<"section" | "volume">("section");
	const { volume } = state;
	// A recording of a tank has none; of others it is said what is missing.
	const hasVolume = volume.state !== "impossible" || volume.missing !== "limb";

	const back = (
		<a class="button button-quiet" href={hashOf({ screen: "sessions" })}>
			<Icon name="left" />
			{words.replay.back}
		</a>
	);
	if (fault !== null) {
		return (
			<>
				<h1 class="visually-hidden">{words.replay.title}</h1>
				<div class="empty">
					<FaultNote fault={fault} />
					<div class="empty-actions">{back}</div>
				</div>
			</>
		);
	}
	if (replay === null) {
		return (
			<>
				<h1 class="visually-hidden">{words.replay.title}</h1>
				<LoadingNote text={words.replay.opening} />
			</>
		);
	}
	const { session } = replay;
	return (
		<>
			<header class="replay-head">
				{back}
				<div class="replay-title">
					<h1>{titleOf(session)}</h1>
					<p class="panel-sub">
						{formatDateTime(session.startedAt)}
						{session.personCode !== null && <span> · {session.personCode}</span>}
						<span> · {words.replay.facts(session.frameCount, session.lostCount, session.badCount)}</span>
					</p>
				</div>
				<SessionTags session={session} />
				{hasVolume && (
					<Choice
						label={words.replay.views}
						options={[
							{ value: "section", text: words.replay.sections },
							{ value: "volume", text: words.replay.volume },
						]}
						value={view}
						onChoose={setView}
					/>
				)}
				<a class="button review-ways" href={hashOf({ screen: "review", sessionId: session.id })}>
					{reviewWords.review.toReview}
				</a>
			</header>
			{state.picture.state === "failed" && <FaultNote fault={state.picture.fault} />}
			{session.frameCount === 0 ? (
				<EmptyNote title={words.replay.emptyTitle} text={words.replay.emptyText}>
					{back}
				</EmptyNote>
			) : (
				<>
					{view === "volume" ? (
						<ReplayVolume replay={replay} />
					) : (
						<div class="live replay">
							<PicturePanel isSimulated={session.simulated} />
							<div class="live-side">
								{trendRegions(feed.geometry).length === 0 ? (
									<ReplayMarks replay={replay} hasPicture={feed.geometry !== null} />
								) : (
									<>
										<ReplayTrends replay={replay} />
										<ReadoutPanel />
									</>
								)}
							</div>
						</div>
					)}
					<ReplayControls replay={replay} />
				</>
			)}
			<ReplayNotes key={session.id} session={session} />
		</>
	);
}
