/** Writes a person's record as one document; see `person-file.ts`. In pieces, so that no step holds the thread for long. */
import { setImmediate } from "node:timers/promises";
import { gzipSync } from "node:zlib";
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import { type ExportedFile, type Fault, LARGEST_PERSON_FILE_BYTES, type SetRecord } from "../contract.ts";
import type { CheckInRecords } from "./check-ins.ts";
import { toRfc3339 } from "./date-time.ts";
import { jsonOf } from "./json-column.ts";
import { prepareIsRecorded } from "./left-open.ts";
import { type BandRow, bandOf, type LimbRow, limbOf } from "./people.ts";
import { noPerson } from "./person-details.ts";
import {
	type FramePiece,
	PERSON_FILE_FORMAT,
	PERSON_FILE_VERSION,
	type PersonFile,
	type SessionInFile,
} from "./person-file.ts";
import type { PlanRecords } from "./plans.ts";
import type { ReferenceRecords } from "./references.ts";
import type { SessionReader } from "./session-reader.ts";
import type { SessionRecords } from "./session-records.ts";
import type { SetRecords } from "./sets.ts";
import type { SoapRecords } from "./soap-notes.ts";
import { blobOf } from "./typed-blob.ts";

/** Some 10 ms of work: most of it compressing. */
const FRAMES_IN_PIECE = 500;

interface PersonRow {
	readonly record_key: string;
	readonly code: string;
	readonly affected_side: PersonFile["person"]["affectedSide"];
	readonly goals: string;
	readonly archived: number;
	readonly cautions_version: number | null;
	readonly cautions_acknowledged_at: string | null;
	readonly created_ms: number;
}

/** What the session's detail does not tell. */
interface SessionRow {
	readonly id: number;
	readonly limb_id: number | null;
	readonly band_id: number | null;
	readonly first_time_us: number | null;
	readonly duration_us: number;
	readonly frame_count: number;
}

interface FrameRow {
	readonly band_index: number;
	readonly sequence: number;
	readonly device_time_us: number;
	readonly received_ms: number;
	readonly lost_before: number;
	readonly configuration_id: number;
	readonly quality: number;
	readonly readings: Uint8Array;
}

interface BatchRow {
	readonly ordinals: Uint8Array;
	readonly seconds: Uint8Array;
	readonly means: Uint8Array;
}

export interface ExportParts {
	readonly db: Database;
	readonly now: () => number;
	readonly plans: PlanRecords;
	readonly references: ReferenceRecords;
	readonly sets: SetRecords;
	readonly soap: SoapRecords;
	readonly checkIns: CheckInRecords;
	readonly records: SessionRecords;
	readonly reader: SessionReader;
}

export interface PersonExport {
	/** Names the person by the code only. */
	readonly fileName: string;
	/** The document in order. */
	readonly pieces: Generator<string>;
}

export function preparePersonExport(parts: ExportParts) {
	const { db, now, plans, references, sets, soap, checkIns, records, reader } = parts;
	const isRecorded = prepareIsRecorded(db, now);
	const person = db.prepare<[number], PersonRow>("SELECT * FROM people WHERE id = ?");
	const limbs = db.prepare<[number], LimbRow & { created_ms: number }>(
		"SELECT * FROM limbs WHERE person_id = ? ORDER BY id",
	);
	const bands = db.prepare<[], BandRow & { created_ms: number }>("SELECT * FROM bands ORDER BY id");
	const sessions = db.prepare<[number], SessionRow>(
		"SELECT * FROM sessions WHERE person_id = ? AND removing = 0 ORDER BY id",
	);
	const frames = db.prepare<[number, number, number], FrameRow>(
		"SELECT * FROM frames WHERE session_id = ? AND ordinal >= ? AND ordinal < ? ORDER BY ordinal",
	);
	const batches = db.prepare<[number, number], BatchRow>(
		"SELECT ordinals, seconds, means FROM trends WHERE session_id = ? AND series_id = ? ORDER BY batch",
	);
	const setTimes = db.prepare<[number], { start_s: number; end_s: number; repetitions: string }>(
		"SELECT start_s, end_s, repetitions FROM sets WHERE id = ?",
	);

	function headOf(personId: number, row: PersonRow, exportedBy: string): Omit<PersonFile, "sessions"> {
		const ownPlans = plans.all(personId);
		const ownReferences = references.list(personId).toReversed();
		const used = new Set<number>();
		for (const { conditions } of [...ownReferences, ...sets.ofPerson(personId)]) used.add(conditions.bandId);
		for (const { band_id } of sessions.all(personId)) if (band_id !== null) used.add(band_id);
		const planned = ownPlans.flatMap(({ plan }) =>
			plan.versions.flatMap(({ items }) => items.map(({ exercise }) => exercise)),
		);
		// Of one that was changed between two versions, the newest.
		const own = new Map(
			planned.filter(({ origin }) => origin === "own").map((exercise) => [exercise.id, exercise]),
		);
		return {
			format: PERSON_FILE_FORMAT,
			schemaVersion: PERSON_FILE_VERSION,
			exportedBy,
			exportedAt: toRfc3339(now()),
			person: {
				recordKey: row.record_key,
				code: row.code,
				affectedSide: row.affected_side,
				goals: row.goals,
				archived: row.archived === 1,
				cautionsVersion: row.cautions_version,
				cautionsAcknowledgedAt: row.cautions_acknowledged_at,
				createdMs: row.created_ms,
			},
			bands: bands
				.all()
				.filter(({ id }) => used.has(id))
				.map((band) => ({ id: band.id, createdMs: band.created_ms, setup: bandOf(band) })),
			limbs: limbs.all(personId).map((limb) => ({
				id: limb.id,
				createdMs: limb.created_ms,
				setup: limbOf(limb),
			})),
			exercises: [...own.values()],
			plans: [...ownPlans],
			references: ownReferences.map(({ personId: _, ...reference }) => ({
				...reference,
				regions: [...reference.regions],
			})),
			checkIns: [...checkIns.list(personId)],
		};
	}

	function sessionOf(row: SessionRow): Omit<SessionInFile, "frames"> {
		const read = records.detail(row.id);
		if (!read.ok) throw new RangeError(`export: session ${row.id} is gone`);
		const detail = read.value;
		return {
			id: row.id,
			limbId: row.limb_id,
			bandId: row.band_id,
			origin: detail.summary.origin,
			simulated: detail.summary.simulated,
			title: detail.summary.title,
			notes: detail.summary.notes,
			appVersion: detail.appVersion,
			algorithmVersion: detail.algorithmVersion,
			prior: detail.prior,
			rule: detail.rule,
			lambdaByHand: detail.lambdaByHand,
			allowsMovement: detail.allowsMovement,
			board: detail.board,
			currentLimitMilliamp: detail.currentLimitMilliamp,
			setup: detail.setup,
			startedAt: detail.summary.startedAt,
			endedAt: detail.endedAt,
			closedCleanly: detail.summary.closedCleanly,
			frameCount: row.frame_count,
			firstTimeMicros: row.first_time_us,
			durationMicros: row.duration_us,
			lostCount: detail.summary.lostCount,
			badCount: detail.summary.badCount,
			badByCause: { ...detail.badByCause },
			configurations: detail.configurations.map((one) => ({
				id: one.id,
				bandIndex: one.bandIndex,
				configuration: one.configuration,
				electrodeCount: one.electrodeCount,
				drive: one.drive,
				terminals: one.terminals,
				currentMilliamp: one.currentMilliamp,
				frequencyHertz: one.frequencyHertz,
				gain: one.gain,
				voltsPerUnit: one.voltsPerUnit,
				fullScale: one.fullScale,
				pattern: base64(blobOf(one.pattern)),
				readingCurrentAmpere:
					one.readingCurrentAmpere === null ? null : base64(blobOf(one.readingCurrentAmpere)),
			})),
			baselines: reader.baselines(row.id).map(({ configuration: _, median, noise, ...one }) => ({
				...one,
				median: base64(blobOf(median)),
				noise: base64(blobOf(noise)),
			})),
			series: detail.series.map((one) => ({
				...one,
				regions: [...one.regions],
				batches: batches.all(row.id, one.id).map(({ ordinals, seconds, means }) => ({
					ordinals: base64(ordinals),
					seconds: base64(seconds),
					means: base64(means),
				})),
			})),
			events: reader.events(row.id),
			contacts: reader.contacts(row.id).map(({ ohm, ...one }) => ({ ...one, ohm: base64(blobOf(ohm)) })),
			sets: sets.list(row.id).map(setOf),
			soap: soap.get(row.id),
		};
	}

	function setOf(set: SetRecord): SessionInFile["sets"][number] {
		// On the board's clock, bit by bit as stored.
		const { start_s, end_s, repetitions } = setTimes.get(set.id)!;
		return {
			storedAt: set.storedAt,
			plan:
				set.planId === null || set.planVersion === null || set.itemIndex === null
					? null
					: { planId: set.planId, version: set.planVersion, itemIndex: set.itemIndex },
			item: set.item,
			set: set.set,
			start: start_s,
			end: end_s,
			countedIn: set.countedIn,
			repetitions: jsonOf(repetitions, `set ${set.id}`) as SessionInFile["sets"][number]["repetitions"],
			summary: set.summary,
			count: set.count,
			painBefore: set.painBefore,
			answer: set.answer === null ? null : { ...set.answer, symptoms: [...set.answer.symptoms] },
			conditions: set.conditions,
		};
	}

	function* pieces(personId: number, row: PersonRow, exportedBy: string): Generator<string> {
		yield `${JSON.stringify(headOf(personId, row, exportedBy)).slice(0, -1)},"sessions":[`;
		let separator = "\n";
		for (const session of sessions.all(personId)) {
			yield `${separator}${JSON.stringify(sessionOf(session)).slice(0, -1)},"frames":[`;
			separator = ",\n";
			for (let from = 0; from < session.frame_count; from += FRAMES_IN_PIECE) {
				const to = Math.min(session.frame_count, from + FRAMES_IN_PIECE);
				const piece = JSON.stringify(pieceOf(frames.all(session.id, from, to)));
				yield `${from === 0 ? "\n" : ",\n"}${piece}`;
			}
			yield "]}";
		}
		yield "\n]}\n";
	}

	return (personId: number, exportedBy: string): Result<PersonExport, Fault> => {
		const row = person.get(personId);
		if (row === undefined) return noPerson(personId);
		// Half a session would look like a whole one, and the rest could not be read in after it.
		if (isRecorded(personId)) return failure({ kind: "already-recording" });
		const name = row.code.replace(/[^A-Za-z0-9._-]+/g, "-");
		const fileName = `tautline-person-${name}-${toRfc3339(now()).slice(0, 10)}.json`;
		return success({ fileName, pieces: pieces(personId, row, exportedBy) });
	};
}

function pieceOf(rows: readonly FrameRow[]): FramePiece {
	return {
		bandIndex: rows.map((row) => row.band_index),
		sequence: rows.map((row) => row.sequence),
		timeMicros: rows.map((row) => row.device_time_us),
		receivedAt: rows.map((row) => row.received_ms),
		lostBefore: rows.map((row) => row.lost_before),
		configurationId: rows.map((row) => row.configuration_id),
		quality: rows.map((row) => row.quality),
		readingBytes: rows.map((row) => row.readings.byteLength),
		readings: base64(gzipSync(Buffer.concat(rows.map((row) => row.readings)))),
	};
}

function base64(bytes: Uint8Array): string {
	return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("base64");
}

/** The whole document as one text; other work goes on between the pieces. */
export async function personFile(
	{ fileName, pieces }: PersonExport,
	signal?: AbortSignal,
): Promise<Result<ExportedFile, Fault>> {
	const parts: string[] = [];
	let bytes = 0;
	for (const piece of pieces) {
		parts.push(piece);
		bytes += piece.length;
		if (bytes > LARGEST_PERSON_FILE_BYTES) {
			const megabytes = Math.ceil(bytes / 1e6);
			return failure({
				kind: "record-too-large",
				megabytes,
				limitMegabytes: Math.floor(LARGEST_PERSON_FILE_BYTES / 1e6),
			});
		}
		await setImmediate();
		if (signal?.aborted === true) return failure({ kind: "cancelled" });
	}
	return success({ fileName, mediaType: "application/json", text: parts.join("") });
}
