/** One session as a physiotherapist looks at it afterwards: what was done, how it was measured, how well. */
import { unsafeBetween } from "../../core/exercise/progress.ts";
import { type Result, success } from "../../core/result.ts";
import type { Fault, ReferenceRecord, SessionReview, SetRecord, Trends } from "../contract.ts";
import { followedRests } from "../store/followed-rest-record.ts";
import type { SessionDetail, StoredContacts, TrendColumns } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import { joinTrends } from "./join-trends.ts";
import { readCheckResult } from "./last-check.ts";
import { nextMornings } from "./next-morning.ts";
import { readMarks } from "./replay.ts";
import { thin } from "./trend-log.ts";

export function reviewOf(store: Store, sessionId: number): Result<SessionReview, Fault> {
	const detail = store.session(sessionId);
	if (!detail.ok) return detail;
	const sets = store.listSets(sessionId);
	if (!sets.ok) return sets;
	const soap = store.soap(sessionId);
	if (!soap.ok) return soap;
	const baselines = store.readBaselines(sessionId);
	if (!baselines.ok) return baselines;
	const contacts = store.readContacts(sessionId);
	if (!contacts.ok) return contacts;
	const usable = store.usableShare(sessionId);
	if (!usable.ok) return usable;
	const marks = readMarks(store, sessionId);
	if (!marks.ok) return marks;
	const references = referencesOf(store, sets.value);
	if (!references.ok) return references;
	const { summary, badByCause } = detail.value;
	const { personId } = summary;
	const all = personId === null ? success([]) : store.personSets(personId);
	if (!all.ok) return all;
	const previous = previousOf(store, detail.value, sets.value, all.value);
	if (!previous.ok) return previous;
	const checkIns = personId === null ? success([]) : store.listCheckIns(personId);
	if (!checkIns.ok) return checkIns;
	const events = store.readEvents(sessionId);
	if (!events.ok) return events;
	const isFollowed = followedRests(events.value);
	const taken = baselines.value.filter((baseline) => !isFollowed(baseline));
	const check = readCheckResult(events.value.find(({ kind }) => kind === "check")?.detail);
	return success({
		session: summary,
		conditions: sets.value[0]?.conditions ?? null,
		soap: soap.value,
		sets: sets.value,
		references: references.value,
		measured: { ...measuredOf(detail.value, taken), check },
		quality: {
			frames: summary.frameCount,
			lost: summary.lostCount,
			bad: badByCause,
			usableShare: usable.value,
			contacts: medianContacts(contacts.value),
		},
		marks: marks.value,
		nextMorning: nextMornings(all.value, checkIns.value).get(sessionId) ?? null,
		sincePrevious: previous.value,
	});
}

/** Region means as computed while recording, without a replay. */
export function sessionTrends(
	store: Store,
	{ sessionId, bandIndex, points }: { sessionId: number; bandIndex: number; points: number },
): Result<Trends, Fault> {
	const detail = store.session(sessionId);
	if (!detail.ok) return detail;
	const read = store.readTrends(sessionId, bandIndex);
	if (!read.ok) return read;
	// Another model may have other regions: lines are drawn of the newest's.
	const newest = read.value.at(-1);
	if (newest === undefined) return success({ regions: [], seconds: [], values: [] });
	const fitting = read.value.filter((columns) => isSameRegions(columns, newest));
	const { regions } = newest.series;
	const { seconds, means } = joinTrends(fitting, regions.length);
	return success(thin(regions, seconds, means, points));
}

function isSameRegions(a: TrendColumns, b: TrendColumns): boolean {
	const [ours, theirs] = [a.series.regions, b.series.regions];
	return (
		a.series.unit === b.series.unit &&
		ours.length === theirs.length &&
		ours.every(({ id }, i) => id === theirs[i]!.id)
	);
}

function referencesOf(store: Store, sets: readonly SetRecord[]): Result<readonly ReferenceRecord[], Fault> {
	const ids = new Set(
		sets
			.flatMap(({ conditions }) => [conditions.referenceId, conditions.hamstringReferenceId])
			.filter((id) => id !== null),
	);
	const found: ReferenceRecord[] = [];
	for (const id of [...ids].sort((a, b) => b - a)) {
		const reference = store.reference(id);
		if (!reference.ok) return reference;
		found.push(reference.value);
	}
	return success(found);
}

/** The newest earlier session with sets on the same side, else on any. */
function previousOf(
	store: Store,
	{ summary }: SessionDetail,
	sets: readonly SetRecord[],
	all: readonly SetRecord[],
): Result<SessionReview["sincePrevious"], Fault> {
	const conditions = sets[0]?.conditions;
	if (conditions === undefined) return success(null);
	const place = all.findIndex(({ sessionId }) => sessionId === summary.id);
	const earlier = all.slice(0, Math.max(0, place));
	const previous =
		earlier.findLast((set) => set.conditions.side === conditions.side) ?? earlier.at(-1) ?? null;
	if (previous === null) return success(null);
	const session = store.session(previous.sessionId);
	if (!session.ok) return session;
	return success({
		sessionId: previous.sessionId,
		startedAt: session.value.summary.startedAt,
		unsafe: unsafeBetween(previous.conditions, conditions),
	});
}

function measuredOf(
	detail: SessionDetail,
	baselines: SessionReview["measured"]["baselines"],
): Omit<SessionReview["measured"], "check"> {
	return {
		limb: detail.limb,
		band: detail.band,
		board: detail.board === null ? null : `${detail.board.board} ${detail.board.firmware}`.trim(),
		drives: detail.configurations.map((drive) => ({
			bandIndex: drive.bandIndex,
			electrodeCount: drive.electrodeCount,
			drive: drive.drive,
			terminals: drive.terminals,
			readingCount: drive.readingCount,
			currentMilliamp: drive.currentMilliamp,
			frequencyHertz: drive.frequencyHertz,
		})),
		pictures: detail.series.map((series) => ({
			bandIndex: series.bandIndex,
			prior: series.prior,
			rule: series.rule,
			lambdaByHand: series.lambdaByHand,
			allowsMovement: series.allowsMovement,
			lambda: series.lambda,
			noiseFigure: series.noiseFigure,
			unit: series.unit,
			algorithmVersion: series.algorithmVersion,
		})),
		baselines: baselines.map(({ bandIndex, takenAt, seconds, automatic }) => ({
			bandIndex,
			takenAt,
			seconds,
			automatic,
		})),
		appVersion: detail.appVersion,
	};
}

/** Per electrode over the checks of the first band; null where it was never readable. */
function medianContacts(contacts: readonly StoredContacts[]): readonly (number | null)[] {
	const own = contacts.filter(({ bandIndex }) => bandIndex === contacts[0]!.bandIndex);
	const count = Math.max(0, ...own.map(({ ohm }) => ohm.length));
	return Array.from({ length: count }, (_, electrode) => {
		const known = own
			.map(({ ohm }) => ohm[electrode] ?? Number.NaN)
			.filter(Number.isFinite)
			.sort((a, b) => a - b);
		return known[known.length >> 1] ?? null;
	});
}
