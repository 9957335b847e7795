import {
	type BoardProfile,
	parseProfile,
	type WrittenProfile,
} from "../../../core/wire/profile/board-profile.ts";
import { ProfileReader } from "../../../core/wire/profile/profile-reader.ts";

export const plain: WrittenProfile = {
	format: "tautline-board-profile",
	version: 1,
	name: "Plain",
	electrodeCount: 8,
	pattern: { kind: "named", drive: "adjacent", terminals: "four-terminal" },
	line: { kind: "separated", separator: "," },
	readings: { kind: "run", first: 0 },
	value: { unit: "mV" },
	drive: { currentMilliamp: 1, frequencyHertz: 50_000 },
};

/** @throws what is wrong with it */
export function createProfile(changes: Partial<WrittenProfile> = {}): BoardProfile {
	const read = parseProfile({ ...plain, ...changes });
	if (!read.ok) throw new Error(`${read.error.path}: ${read.error.expected}, got ${read.error.got}`);
	return read.value;
}

export interface ReadFrame {
	readonly values: number[];
	readonly sequence: number;
	readonly timeMicros: number;
	readonly lostBefore: number;
}

/** A reader and the frames that came of it. */
export function createReader(profile: BoardProfile) {
	const frames: ReadFrame[] = [];
	const reader = new ProfileReader(profile, ({ values, sequence, timeMicros }, lostBefore) => {
		frames.push({ values: [...values], sequence, timeMicros, lostBefore });
	});
	let arrival = 0;
	const read = (...lines: (string | Uint8Array)[]) => {
		for (const line of lines) {
			arrival += 20_000;
			reader.parse(typeof line === "string" ? Buffer.from(line, "utf8") : line, arrival);
		}
	};
	return { reader, frames, read };
}

export function badLines({ counters }: ProfileReader): Record<string, number> {
	return Object.fromEntries(Object.entries(counters.bad).filter(([, count]) => count > 0));
}
