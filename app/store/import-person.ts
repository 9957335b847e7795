/**
 * Reads a person's record from a file back in; see `person-file.ts`. Sessions are written piece by piece, marked as if
 * they were being removed, and so out of sight; the last step, one transaction, brings in the person and makes all of it
 * seen. Whatever goes wrong before leaves nothing but rows that the removal takes away.
 */
import { setImmediate } from "node:timers/promises";
import { gunzipSync } from "node:zlib";
import type { Database } from "better-sqlite3";
import { boardElectrode } from "../../core/band/board-electrode.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { readAs } from "../../core/invalid-input.ts";
import { failure, type Result, success } from "../../core/result.ts";
import { mostBands } from "../../core/wire/limits.ts";
import type { Fault } from "../contract.ts";
import type { CheckInRecords } from "./check-ins.ts";
import type { PeopleRecords } from "./people.ts";
import { type PersonFile, personFileSchema, type SessionInFile } from "./person-file.ts";
import type { PlanRecords } from "./plans.ts";
import { readReadings } from "./reading-blob.ts";
import type { ReferenceRecords } from "./references.ts";
import type { SessionInserts } from "./session-inserts.ts";
import type { SetRecords } from "./sets.ts";
import type { SoapRecords } from "./soap-notes.ts";
import { DamagedRecordError, guard } from "./store-fault.ts";
import { float32From, float64From, uint16From, uint32From } from "./typed-blob.ts";

export interface PersonImportParts {
	readonly db: Database;
	readonly path: string;
	readonly now: () => number;
	readonly people: PeopleRecords;
	readonly plans: PlanRecords;
	readonly references: ReferenceRecords;
	readonly sets: SetRecords;
	readonly soap: SoapRecords;
	readonly checkIns: CheckInRecords;
	readonly inserts: SessionInserts;
}

/** Something in the file that the schema cannot tell. */
class BadFileError extends Error {
	override readonly name = "BadFileError";
	readonly path: string;
	readonly expected: string;
	readonly got: string;
	constructor(path: string, expected: string, got: string) {
		super(`${path}: expected ${expected}, got ${got}`);
		this.path = path;
		this.expected = expected;
		this.got = got;
	}
}

/** Another app on the same file has removed some of it: this one was silent for too long, such as asleep. */
class TakenAwayError extends Error {
	override readonly name = "TakenAwayError";
}

/** A piece of frames holds this much at most once it is unpacked: a small file must not fill the memory. */
const LARGEST_PIECE_BYTES = 64 << 20;

export function preparePersonImport(parts: PersonImportParts) {
	const { db, path, now, people, plans, references, sets, soap, checkIns, inserts } = parts;
	const byKey = db.prepare<[string], string>("SELECT code FROM people WHERE record_key = ?").pluck();
	const insertPerson = db.prepare(`
		INSERT INTO people (code, display_name, affected_side, created_ms, record_key, goals, archived,
			cautions_version, cautions_acknowledged_at)
		VALUES (?, NULL, ?, ?, ?, ?, ?, ?, ?)`);
	const insertLimb = db.prepare(`
		INSERT INTO limbs (person_id, side, outline, fat_thickness_m, fat_source, level_fraction, created_ms)
		VALUES (?, ?, ?, ?, ?, ?, ?)`);
	const insertExercise = db.prepare(
		"INSERT OR IGNORE INTO own_exercises (id, exercise, saved_ms) VALUES (?, ?, ?)",
	);
	const hide = db.prepare("UPDATE sessions SET removing = 1, closed_cleanly = ?, ended_at = ? WHERE id = ?");
	const extent = db.prepare(`
		UPDATE sessions SET frame_count = ?, first_time_us = ?, duration_us = ?, lost_count = ?, bad_count = ?,
			bad_by_cause = ? WHERE id = ?`);
	const show = db.prepare(
		"UPDATE sessions SET removing = 0, writer_pid = NULL, person_id = ?, limb_id = ?, band_id = ? WHERE id = ?",
	);
	// Another app on the same file that takes away what is marked leaves alone what somebody writes.
	const stillHere = db.prepare(
		"UPDATE sessions SET last_written_ms = ? WHERE removing = 1 AND writer_pid = ?",
	);
	const giveUp = db.prepare("UPDATE sessions SET writer_pid = NULL WHERE removing = 1 AND writer_pid = ?");
	const framesOf = db.prepare<[number], number>("SELECT count(*) FROM frames WHERE session_id = ?").pluck();

	function whoIsThere({ recordKey, code }: PersonFile["person"]): Fault | null {
		const same = byKey.get(recordKey);
		if (same !== undefined) return { kind: "person-exists", code: same, isSameRecord: true };
		const owner = people.ownerOf(code);
		return owner === null ? null : { kind: "person-exists", code: owner.code, isSameRecord: false };
	}

	const writeHead = db.transaction((session: SessionInFile, at: string): number => {
		const sessionId = inserts.session({
			personId: null,
			limbId: null,
			bandId: null,
			origin: session.origin,
			simulated: session.simulated,
			title: session.title,
			notes: session.notes,
			appVersion: session.appVersion,
			algorithmVersion: session.algorithmVersion,
			prior: session.prior,
			rule: session.rule,
			lambdaByHand: session.lambdaByHand,
			allowsMovement: session.allowsMovement,
			board: session.board,
			currentLimitMilliamp: session.currentLimitMilliamp,
			setup: session.setup ?? undefined,
			startedAt: session.startedAt,
			writerPid: process.pid,
			now: now(),
		});
		hide.run(session.closedCleanly ? 1 : 0, session.endedAt, sessionId);
		for (const one of session.configurations) {
			const pattern = uint16From(bytesOf(one.pattern));
			if (pattern.length === 0 || pattern.length % 4 !== 0) {
				throw new BadFileError(
					`${at}.configurations`,
					"patterns of 4 electrodes a reading",
					"another length",
				);
			}
			if (!pattern.every((number) => isElectrode(number, one))) {
				throw new BadFileError(`${at}.configurations`, "patterns of electrodes that bands have", "others");
			}
			const readingCurrentAmpere =
				one.readingCurrentAmpere === null ? null : float64From(bytesOf(one.readingCurrentAmpere));
			inserts.configuration(sessionId, one.id, {
				...one,
				pattern,
				readingCurrentAmpere,
				readingCount: pattern.length / 4,
				listedTerminals: null,
			});
		}
		for (const { configurationId, median, noise, ...one } of session.baselines) {
			inserts.baseline(sessionId, configurationId, {
				...one,
				configuration: 0,
				median: float64From(bytesOf(median)),
				noise: float64From(bytesOf(noise)),
			});
		}
		for (const { id, batches, ...one } of session.series) {
			inserts.series(sessionId, id, one);
			for (const [batch, { ordinals, seconds, means }] of batches.entries()) {
				const rows = uint32From(bytesOf(ordinals)).length;
				const isWhole =
					float64From(bytesOf(seconds)).length === rows &&
					float32From(bytesOf(means)).length === rows * one.regions.length;
				if (!isWhole) throw new BadFileError(`${at}.series`, "columns of one length", "others");
				inserts.trends(sessionId, id, batch, bytesOf(ordinals), bytesOf(seconds), bytesOf(means));
			}
		}
		for (const event of session.events) inserts.event(sessionId, { ...event, detail: event.detail });
		for (const { ohm, ...one } of session.contacts) {
			inserts.contacts(sessionId, { ...one, ohm: float64From(bytesOf(ohm)) });
		}
		return sessionId;
	});

	const writePiece = db.transaction(
		(sessionId: number, session: SessionInFile, index: number, from: number, at: string): number => {
			const piece = session.frames[index]!;
			const counts = new Map(
				session.configurations.map(({ id, pattern }) => [id, bytesOf(pattern).byteLength / 8]),
			);
			stillHere.run(now(), process.pid);
			const readings = gunzipSync(bytesOf(piece.readings), { maxOutputLength: LARGEST_PIECE_BYTES });
			const insert = inserts.frame(sessionId);
			let offset = 0;
			for (let i = 0; i < piece.sequence.length; i++) {
				const length = piece.readingBytes[i]!;
				const blob = readings.subarray(offset, offset + length);
				offset += length;
				const configurationId = piece.configurationId[i]!;
				if (blob.byteLength !== length || readReadings(blob).length !== counts.get(configurationId)) {
					throw new BadFileError(
						`${at}.readings`,
						"the readings of its configuration",
						`those of frame ${i}`,
					);
				}
				insert(
					from + i,
					piece.bandIndex[i]!,
					piece.sequence[i]!,
					piece.timeMicros[i]!,
					piece.receivedAt[i]!,
					piece.lostBefore[i]!,
					configurationId,
					piece.quality[i]!,
					blob,
				);
			}
			return from + piece.sequence.length;
		},
	);

	/** The last step. @param written ids of the file's sessions here */
	const bringIn = db.transaction((file: PersonFile, written: ReadonlyMap<number, number>): number => {
		const { person } = file;
		const personId = Number(
			insertPerson.run(
				person.code,
				person.affectedSide,
				person.createdMs,
				person.recordKey,
				person.goals,
				person.archived ? 1 : 0,
				person.cautionsVersion,
				person.cautionsAcknowledgedAt,
			).lastInsertRowid,
		);
		const bandIds = new Map(file.bands.map(({ id, setup }) => [id, people.saveBand(setup)]));
		const limbIds = new Map(
			file.limbs.map(({ id, createdMs, setup }) => {
				const { side, outline, fatThickness, fatSource, level } = setup;
				const added = insertLimb.run(
					personId,
					side,
					JSON.stringify(outline),
					fatThickness,
					fatSource ?? null,
					level,
					createdMs,
				);
				return [id, Number(added.lastInsertRowid)];
			}),
		);
		for (const exercise of file.exercises) {
			// one of the program's must not be there twice
			const isOwn = exercise.origin === "own" && libraryExerciseOf(exercise.id) === undefined;
			if (isOwn) insertExercise.run(exercise.id, JSON.stringify(exercise), now());
		}
		const planIds = new Map(file.plans.map(({ id, plan }) => [id, plans.add(personId, plan)]));
		const conditionsHere = (
			conditions: MeasuringConditions,
			referenceIds: ReadonlyMap<number, number>,
		): MeasuringConditions => ({
			...conditions,
			bandId: here(bandIds, conditions.bandId, "bands"),
			referenceId: referenceHere(conditions.referenceId, referenceIds),
			hamstringReferenceId: referenceHere(conditions.hamstringReferenceId, referenceIds),
		});
		const referenceIds = new Map<number, number>();
		for (const { id, ...reference } of file.references) {
			const none = { ...reference.conditions, referenceId: null, hamstringReferenceId: null };
			const conditions = conditionsHere(none, referenceIds);
			referenceIds.set(id, references.add({ ...reference, personId, conditions }));
		}
		for (const checkIn of file.checkIns) checkIns.add(personId, checkIn);
		for (const session of file.sessions) {
			const sessionId = written.get(session.id)!;
			if (framesOf.get(sessionId) !== session.frameCount) throw new TakenAwayError();
			show.run(
				personId,
				session.limbId === null ? null : here(limbIds, session.limbId, "limbs"),
				session.bandId === null ? null : here(bandIds, session.bandId, "bands"),
				sessionId,
			);
			for (const { storedAt, plan, item, painBefore, conditions, ...result } of session.sets) {
				const set = {
					sessionId,
					plan: plan === null ? null : { ...plan, planId: planned(file, planIds, plan) },
					item,
					result,
					painBefore,
					conditions: conditionsHere(conditions, referenceIds),
				};
				sets.add(set, storedAt);
			}
			if (session.soap !== null) soap.save({ sessionId, ...session.soap }, session.soap.savedAt);
		}
		return personId;
	});

	async function write(file: PersonFile, signal: AbortSignal | undefined): Promise<Result<number, Fault>> {
		const written = new Map<number, number>();
		for (const [i, session] of file.sessions.entries()) {
			const at = `sessions[${i}]`;
			const sessionId = writeHead.immediate(session, at);
			let frames = 0;
			for (let piece = 0; piece < session.frames.length; piece++) {
				frames = writePiece.immediate(sessionId, session, piece, frames, `${at}.frames[${piece}]`);
				await setImmediate();
				if (signal?.aborted === true) return failure({ kind: "cancelled" });
			}
			if (frames !== session.frameCount) {
				throw new BadFileError(`${at}.frames`, `${session.frameCount} frames`, String(frames));
			}
			const { firstTimeMicros, durationMicros, lostCount, badCount, badByCause } = session;
			const bad = JSON.stringify(badByCause);
			extent.run(frames, firstTimeMicros, durationMicros, lostCount, badCount, bad, sessionId);
			written.set(session.id, sessionId);
		}
		// Somebody may have come in while the frames were written.
		const there = whoIsThere(file.person);
		return there === null ? success(bringIn.immediate(file, written)) : failure(there);
	}

	return async (fileName: string, text: string, signal?: AbortSignal): Promise<Result<number, Fault>> => {
		const file = readFile(fileName, text);
		if (!file.ok) return file;
		const there = guard(path, () => success(whoIsThere(file.value.person)));
		if (!there.ok) return there;
		if (there.value !== null) return failure(there.value);
		try {
			return await write(file.value, signal);
		} catch (error) {
			return asFault(error, fileName, path);
		} finally {
			// What the disk refuses now is given up when this app has ended.
			guard(path, () => success(giveUp.run(process.pid)));
		}
	};
}

function readFile(fileName: string, text: string): Result<PersonFile, Fault> {
	let parsed: unknown;
	try {
		parsed = JSON.parse(text);
	} catch {
		// What the parser says about the place is of no use to a person.
		const expected = "a whole JSON file as this app writes it";
		return failure({ kind: "bad-person-file", path: fileName, expected, got: "something else" });
	}
	const read = readAs<PersonFile>(personFileSchema, parsed);
	if (read.ok) return read;
	const place = read.error.path === "" ? fileName : `${fileName}: ${read.error.path}`;
	return failure({ kind: "bad-person-file", ...read.error, path: place });
}

function asFault(error: unknown, fileName: string, path: string): Result<never, Fault> {
	if (error instanceof BadFileError) {
		const { expected, got } = error;
		return failure({ kind: "bad-person-file", path: `${fileName}: ${error.path}`, expected, got });
	}
	if (error instanceof TakenAwayError) return failure({ kind: "store-busy", path });
	const code = error instanceof Error && "code" in error ? String(error.code) : "";
	// Bytes that are no readings, cannot be unpacked, or belong to something that is not in the file.
	const isOfFile =
		error instanceof DamagedRecordError || code.startsWith("Z_") || code.startsWith("SQLITE_CONSTRAINT");
	if (isOfFile || code === "ERR_BUFFER_TOO_LARGE") {
		const expected = "a whole record";
		return failure({
			kind: "bad-person-file",
			path: fileName,
			expected,
			got: "one that was changed or cut off",
		});
	}
	return guard<never>(path, () => {
		throw error;
	});
}

function here(ids: ReadonlyMap<number, number>, id: number, list: string): number {
	const found = ids.get(id);
	if (found === undefined) throw new BadFileError(list, "everything that is referred to", `no ${id}`);
	return found;
}

/** The plan, if the file holds what was done of it. */
function planned(
	{ plans }: PersonFile,
	planIds: ReadonlyMap<number, number>,
	{ planId, version, itemIndex }: NonNullable<SessionInFile["sets"][number]["plan"]>,
): number {
	const held = plans.find(({ id }) => id === planId)?.plan.versions[version - 1];
	if (held?.items[itemIndex] === undefined) {
		const got = `no exercise ${itemIndex} in version ${version} of ${planId}`;
		throw new BadFileError("plans", "everything that is referred to", got);
	}
	return here(planIds, planId, "plans");
}

function referenceHere(id: number | null, ids: ReadonlyMap<number, number>): number | null {
	return id === null ? null : here(ids, id, "references");
}

/** Of the band itself, or of another one that a board may have. */
function isElectrode(
	number: number,
	of: { readonly bandIndex: number; readonly electrodeCount: number },
): boolean {
	const { band } = boardElectrode(number, of.bandIndex);
	return band === of.bandIndex ? number < of.electrodeCount : band < mostBands;
}

function bytesOf(text: string): Uint8Array {
	return Buffer.from(text, "base64");
}
