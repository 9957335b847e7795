import { hashOf } from "../route.ts";
import { titleOf } from "../screens/sessions-screen.tsx";
import { personWords } from "../text/people-words.ts";
import { formatClock, formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { FaultNote } from "./notes.tsx";
import { useLoaded } from "./use-request.ts";

const SHOWN = 5;

/** The newest recordings of one person. */
export function PersonSessions({ personId, count }: { readonly personId: number; readonly count: number }) {
	const list = useLoaded(
		"listSessions",
		{ personId, offset: 0, limit: SHOWN },
		`sessions ${personId} ${count}`,
	);
	return (
		<section class="panel form-section" aria-label={personWords.sessions}>
			<div class="panel-line">
				<h2>{personWords.sessions}</h2>
				{count > 0 && (
					<div class="button-row">
						<p class="panel-sub">{personWords.sessionCount(count)}</p>
						<a class="button button-small" href={hashOf({ screen: "progress", personId })}>
							{reviewWords.review.toProgress}
						</a>
					</div>
				)}
			</div>
			{count === 0 && <p class="lead">{personWords.noSessions}</p>}
			{list.state === "failed" && <FaultNote fault={list.fault} />}
			{list.state === "ready" && list.value.sessions.length > 0 && (
				<ul class="person-sessions">
					{list.value.sessions.map((session) => (
						<li key={session.id}>
							<a class="person-session-title" href={hashOf({ screen: "review", sessionId: session.id })}>
								{titleOf(session)}
							</a>
							<p class="panel-sub">
								{formatDateTime(session.startedAt)}, {formatClock(session.durationSeconds)}
								{session.simulated && (
									<span class="tag tag-simulated tag-after">{personWords.simulated}</span>
								)}
							</p>
							<a
								class="session-report"
								href={hashOf({ screen: "report", sessionId: session.id })}
								aria-label={reviewWords.report.of(formatDateTime(session.startedAt))}
							>
								{reviewWords.review.toReport}
							</a>
						</li>
					))}
				</ul>
			)}
			{count > SHOWN && <a href={hashOf({ screen: "sessions" })}>{personWords.allSessions}</a>}
		</section>
	);
}
