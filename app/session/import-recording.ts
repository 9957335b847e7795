import { failure, type Result } from "../../core/result.ts";
import { type LeftOut, leaveOut } from "../../core/signal/left-out.ts";
import type { Fault } from "../contract.ts";
import type { ModelBuilder } from "../pipeline/model-builder.ts";
import type { ReadRecording } from "../pipeline/read-recording.ts";
import { toRfc3339 } from "../store/date-time.ts";
import { leftOutEvent } from "../store/left-out-record.ts";
import type { ImportedSession, NewBaseline } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { Clock } from "./clock.ts";
import type { SetUp } from "./set-up.ts";

export interface ImportParts {
	readonly builder: ModelBuilder;
	readonly store: Store;
	readonly clock: Clock;
	readonly setUp: SetUp;
}

/** Files of this kind tell no times: frames are laid out so that each can be looked at. */
const FRAME_SECONDS = 1;
/** The files tell no frequency either; nothing that is computed from them depends on it. */
const UNKNOWN_HERTZ = 50_000;
const CONFIGURATION = 1;
const BAND = 0;
const LONGEST_TITLE = 120;

/** Stores a measured recording as a session, which is then opened like any other. */
export async function importRecording(
	{ builder, store, clock, setUp }: ImportParts,
	fileName: string,
	text: string,
	signal: AbortSignal,
): Promise<Result<{ readonly sessionId: number }, Fault>> {
	const read = await builder.read(fileName, text, signal);
	if (!read.ok) return read;
	if (signal.aborted) return failure({ kind: "cancelled" });
	const startedAt = toRfc3339(clock.now());
	const stored = store.importSession({
		...toSession(read.value, startedAt),
		...setUp.pictureSettings,
	});
	return stored.ok ? { ok: true, value: { sessionId: stored.value } } : stored;
}

function toSession(recording: ReadRecording, startedAt: string): Omit<ImportedSession, "prior" | "rule"> {
	const { terminals, electrodeCount, current } = recording;
	const leftOut = recording.rests.map(({ failing }) =>
		leaveOut(
			{ terminals, electrodeCount },
			{
				electrodes: failing.map((one) => ({ ...one, isSinceRest: false })),
				readings: [],
				readingsAtRest: [],
			},
		),
	);
	return {
		personId: null,
		title: recording.title.slice(0, LONGEST_TITLE),
		notes: recording.notes,
		startedAt,
		simulated: false,
		algorithmVersion: ALGORITHM_VERSION,
		setup: recording.setup,
		configurations: [
			{
				configuration: CONFIGURATION,
				bandIndex: BAND,
				electrodeCount,
				drive: "listed",
				terminals: "four-terminal",
				readingCount: terminals.length / 4,
				listedTerminals: terminals,
				currentMilliamp: 1000 * current.reduce((most, value) => Math.max(most, Math.abs(value)), 0),
				frequencyHertz: UNKNOWN_HERTZ,
				gain: 1,
				voltsPerUnit: 1,
				fullScale: 0,
				pattern: terminals,
				readingCurrentAmpere: current,
			},
		],
		frames: recording.frames.map(({ id, rest, voltages, targets }, i) => ({
			bandIndex: BAND,
			configuration: CONFIGURATION,
			timeMicros: i * FRAME_SECONDS * 1e6,
			values: voltages,
			quality: 1 - leftOut[rest]!.share,
			label: id,
			detail: { targets },
		})),
		baselines: baselinesOf(recording, startedAt),
		events: leftOutEventsOf(recording.frames.map(({ rest }) => leftOut[rest]!)),
	};
}

/** As a recording notes them while it is measured. @param leftOut of each frame */
function leftOutEventsOf(leftOut: readonly LeftOut[]): ImportedSession["events"] {
	let before: LeftOut | null = null;
	return leftOut.flatMap((now, ordinal) => {
		const isSame = now === before || (before === null && now.kept === null);
		if (isSame) return [];
		const event = { kind: "left-out", ordinal, ...leftOutEvent(BAND, before, now) } as const;
		before = now;
		return [event];
	});
}

/** One wherever a frame is compared with another rest than the frame before it. */
function baselinesOf({ frames, rests }: ReadRecording, takenAt: string): NewBaseline[] {
	return frames.flatMap(({ rest }, ordinal) => {
		if (ordinal > 0 && frames[ordinal - 1]!.rest === rest) return [];
		const { median, noise } = rests[rest]!;
		return {
			bandIndex: BAND,
			fromOrdinal: ordinal,
			takenAt,
			seconds: 0,
			frameCount: 1,
			automatic: true,
			configuration: CONFIGURATION,
			median,
			noise,
		};
	});
}
