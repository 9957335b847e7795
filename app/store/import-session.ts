import type { Database } from "better-sqlite3";
import { largestBlobBytes, writeReadings } from "./reading-blob.ts";
import type { ImportedSession, NewConfiguration } from "./records.ts";
import type { SessionInserts } from "./session-inserts.ts";

interface Kept {
	readonly id: number;
	readonly given: NewConfiguration;
}

/** Stores a recording that was read from a file, in one transaction: all of it or nothing. @returns the session's id.
 *  @throws RangeError for a frame or baseline that does not fit its configuration. */
export function importSession(
	db: Database,
	inserts: SessionInserts,
	session: ImportedSession,
	app: { readonly appVersion: string; readonly now: () => number },
): number {
	const configurations = session.configurations.map((given, index): Kept => ({ id: index + 1, given }));

	function kept(bandIndex: number, wireNumber: number, readingCount: number): Kept {
		const found = configurations.find(
			({ given }) => given.bandIndex === bandIndex && given.configuration === wireNumber,
		);
		if (found === undefined || found.given.pattern.length !== 4 * readingCount) {
			throw new RangeError(
				`import: ${readingCount} readings of band ${bandIndex}, configuration ${wireNumber}`,
			);
		}
		return found;
	}

	const write = db.transaction((): number => {
		const sessionId = inserts.session({
			...session,
			limbId: null,
			bandId: null,
			origin: "imported",
			appVersion: app.appVersion,
			board: null,
			currentLimitMilliamp: null,
			writerPid: null,
			now: app.now(),
		});
		for (const { id, given } of configurations) inserts.configuration(sessionId, id, given);
		const insertFrame = inserts.frame(sessionId);
		let scratch = new Uint8Array(0);
		session.frames.forEach((frame, ordinal) => {
			const { id } = kept(frame.bandIndex, frame.configuration, frame.values.length);
			const room = largestBlobBytes(frame.values.length);
			if (scratch.length < room) scratch = new Uint8Array(room);
			const length = writeReadings(frame.values, new DataView(scratch.buffer), 0);
			const readings = scratch.subarray(0, length);
			insertFrame(
				ordinal,
				frame.bandIndex,
				ordinal,
				frame.timeMicros,
				app.now(),
				0,
				id,
				frame.quality,
				readings,
			);
			if (frame.label !== null) {
				const { label, detail } = frame;
				inserts.event(sessionId, { kind: "mark", at: session.startedAt, ordinal, label, detail });
			}
		});
		for (const event of session.events) inserts.event(sessionId, { ...event, at: session.startedAt });
		for (const baseline of session.baselines) {
			const { id } = kept(baseline.bandIndex, baseline.configuration, baseline.median.length);
			inserts.baseline(sessionId, id, baseline);
		}
		const first = session.frames[0];
		inserts.progress(sessionId, {
			frames: session.frames.length,
			firstTimeMicros: first === undefined ? null : first.timeMicros,
			durationMicros: first === undefined ? 0 : session.frames.at(-1)!.timeMicros - first.timeMicros,
			counters: { lost: 0, bad: {} },
			now: app.now(),
		});
		inserts.close(sessionId, session.startedAt);
		return sessionId;
	});
	return write.immediate();
}
