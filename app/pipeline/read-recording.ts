/** Checks a recording file's text and brings it into the shape in which it is stored. Runs in the model worker, for files
 *  may have tens of megabytes. */
import { type InvalidInput, invalid } from "../../core/invalid-input.ts";
import type { FailingElectrode } from "../../core/picture/recording-faults.ts";
import { parseRecording, type RecordedTarget, type Recording } from "../../core/picture/recording-file.ts";
import { type FrameGroup, groupFrames } from "../../core/picture/recording-pictures.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";

export interface ReadRecording {
	readonly title: string;
	/** Citation, licence and changes, as the file tells them. */
	readonly notes: string;
	/** As in the file: the reference case format. */
	readonly setup: unknown;
	readonly electrodeCount: number;
	/** [nReadings × 4] */
	readonly terminals: Uint16Array;
	/** [nReadings] A per metre of height. */
	readonly current: Float64Array;
	readonly frames: readonly {
		readonly id: string;
		/** Place in `rests`. */
		readonly rest: number;
		/** [nReadings] V */
		readonly voltages: Float64Array;
		readonly targets: readonly RecordedTarget[];
	}[];
	/** One for each rest, and again where other readings are missing or other electrodes fail. */
	readonly rests: readonly {
		/** [nReadings] V */
		readonly median: Float64Array;
		/** [nReadings] V; Infinity where a reading is missing. */
		readonly noise: Float64Array;
		/** What its frames are pictured without, ascending. */
		readonly failing: readonly FailingElectrode[];
	}[];
}

export function readRecording(fileName: string, text: string): Result<ReadRecording, Fault> {
	const read = parse(fileName, text);
	return read.ok
		? read
		: failure({ kind: "bad-recording-file", ...read.error, path: pathIn(fileName, read.error.path) });
}

function pathIn(fileName: string, path: string): string {
	return path === "" ? fileName : `${fileName}: ${path}`;
}

function parse(fileName: string, text: string): Result<ReadRecording, InvalidInput> {
	const input = parseJson(text);
	if (!input.ok) return input;
	const recording = parseRecording(input.value);
	if (!recording.ok) return recording;
	const { setup, rests, frames } = recording.value;
	const groups = groupsOf(recording.value);
	if (!groups.ok) return groups;
	const file = input.value as Readonly<Record<string, unknown>>;
	return success({
		title: textOf(file.dataset) ?? textOf(setup.name) ?? fileName,
		notes: ["citation", "licence", "changes"]
			.map((key) => textOf(file[key]))
			.filter((part) => part !== null)
			.join("\n\n"),
		setup: file.setup,
		electrodeCount: setup.pattern.electrodeCount,
		terminals: setup.pattern.terminals,
		current: setup.current,
		frames: frames.map((frame) => ({
			id: frame.id,
			rest: groups.value.findIndex((group) => group.frames.includes(frame)),
			voltages: frame.voltages,
			targets: frame.targets,
		})),
		rests: groups.value.map(({ rest, noise, failing }) => ({ median: rests.get(rest)!, noise, failing })),
	});
}

/** `core` says in one sentence why a frame cannot be used at all. */
function groupsOf(recording: Recording): Result<FrameGroup[], InvalidInput> {
	try {
		return success(groupFrames(recording, { findsFailing: true, without: [] }));
	} catch (error) {
		if (!(error instanceof RangeError)) throw error;
		return invalid("frames", "readings that a picture can be made from", error.message);
	}
}

function parseJson(text: string): Result<unknown, InvalidInput> {
	try {
		return success(JSON.parse(text));
	} catch {
		return invalid(
			"",
			"a recording in JSON, whole",
			text === "" ? "nothing" : `${text.length} characters of no JSON`,
		);
	}
}

const LONGEST_TEXT = 2000;

function textOf(value: unknown): string | null {
	return typeof value === "string" && value !== "" ? value.slice(0, LONGEST_TEXT) : null;
}
