import { type BadLineCause, type BadLineCounts, badLineCauses } from "../bad-line.ts";
import { type BoardProfile, type Column, patternOf, readingColumns } from "./board-profile.ts";
import { readDecimal } from "./decimal.ts";
import { readingsOnDisc } from "./disc-signs.ts";
import { FieldFinder, LineSplitter } from "./line-splitter.ts";
import { ProfileReader } from "./profile-reader.ts";

const lineFeed = 0x0a;
/** Without a clock of the board's, as if frames came so fast. */
const stepMicros = 50_000;

/** What comes of a sample of lines that is read by a profile. */
export interface ProfileTrial {
	/** That are not empty, comments and headings included. */
	readonly lines: number;
	readonly frames: number;
	/** Found by gaps in the sequence, or as frames that were not whole. */
	readonly lost: number;
	/** The commonest first. */
	readonly refused: readonly { readonly cause: BadLineCause; readonly count: number }[];
	readonly firstRefused: RefusedLine | null;
	/** [readings] of the first frame, in the profile's unit; null without a frame. */
	readonly firstFrame: Float64Array | null;
	/** [readings] mean over the frames; null without a frame. */
	readonly meanFrame: Float64Array | null;
	/** By the board's clock, from the middle of the steps; null without a clock or a second frame. */
	readonly framesPerSecond: number | null;
	/** Share of the steps between frames that are less than half or more than twice the middle one; null likewise. */
	readonly unevenShare: number | null;
}

export interface RefusedLine {
	/** From 1, in the sample. */
	readonly number: number;
	/** A character for each byte, CR and LF left out. */
	readonly text: string;
	readonly cause: BadLineCause;
	/** Into how many fields it falls; null where it does not begin as it should. */
	readonly fieldCount: number | null;
	/** The first field that is needed and is missing or holds no number; `text` is null where it is missing. */
	readonly field: { readonly column: Column; readonly text: string | null } | null;
}

/** Reads a sample as a port's bytes would be read. The first line may be the end of one that began before. */
export function tryProfile(profile: BoardProfile, sample: Uint8Array): ProfileTrial {
	const sums = new Float64Array(patternOf(profile).terminals.length / 4);
	const times: number[] = [];
	let firstFrame: Float64Array | null = null;
	const reader = new ProfileReader(profile, ({ values, timeMicros }) => {
		firstFrame ??= Float64Array.from(values);
		for (let i = 0; i < sums.length; i++) sums[i]! += values[i]!;
		times.push(timeMicros);
	});
	const { bad } = reader.counters;
	let firstRefused: RefusedLine | null = null;
	let lines = 0;
	let number = 0;
	for (let from = 0; from < sample.length; ) {
		const feed = sample.indexOf(lineFeed, from);
		const end = feed < 0 ? sample.length : feed;
		const line = sample.subarray(from, end);
		from = end + 1;
		number++;
		if (line.length > 0 && line[0] !== 0x0d) lines++;
		const before: Readonly<BadLineCounts> = firstRefused === null ? { ...bad } : bad;
		reader.parse(line, stepMicros * number);
		const cause: BadLineCause | undefined = badLineCauses.find((one) => bad[one] > before[one]);
		if (cause !== undefined) firstRefused ??= { number, cause, ...lookedAt(profile, line) };
	}
	const frames = times.length;
	const steps = profile.time === null ? [] : times.slice(1).map((time, i) => time - times[i]!);
	const middle = [...steps].sort((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
	return {
		lines,
		frames,
		lost: reader.counters.lost,
		refused: badLineCauses
			.map((cause) => ({ cause, count: bad[cause] }))
			.filter(({ count }) => count > 0)
			.sort((a, b) => b.count - a.count),
		firstRefused,
		firstFrame,
		meanFrame: frames === 0 ? null : sums.map((sum) => sum / frames),
		framesPerSecond: middle > 0 ? 1e6 / middle : null,
		unevenShare:
			middle > 0
				? steps.filter((step) => step < middle / 2 || step > 2 * middle).length / steps.length
				: null,
	};
}

const longestShown = 2000;

function lookedAt(
	profile: BoardProfile,
	line: Uint8Array,
): Pick<RefusedLine, "text" | "fieldCount" | "field"> {
	const end = line.at(-1) === 0x0d ? line.length - 1 : line.length;
	const text = textOf(line, 0, Math.min(end, longestShown));
	const splitter = new LineSplitter(profile.line);
	const isMeant = text.startsWith(profile.prefix);
	if (!isMeant || !splitter.split(line, profile.prefix.length, end)) {
		return { text, fieldCount: null, field: null };
	}
	const { readings, frame, sequence, time } = profile;
	const needed = readings.kind === "base64" ? [] : readingColumns(profile);
	const marks = [frame.row, sequence?.column ?? null, time?.column ?? null].filter((one) => one !== null);
	const mark = (profile.line.hasDecimalComma ? "," : ".").charCodeAt(0);
	for (const column of [...marks, ...needed]) {
		const at = new FieldFinder(column).find(splitter);
		if (at < 0) return { text, fieldCount: splitter.count, field: { column, text: null } };
		const [start, stop] = [splitter.start(at), splitter.end(at)];
		if (Number.isNaN(readDecimal(line, start, stop, mark))) {
			return { text, fieldCount: splitter.count, field: { column, text: textOf(line, start, stop) } };
		}
	}
	return { text, fieldCount: splitter.count, field: null };
}

function textOf(bytes: Uint8Array, start: number, end: number): string {
	let text = "";
	for (let i = start; i < end; i++) text += String.fromCharCode(bytes[i]!);
	return text;
}

/**
 * How well a frame goes with what a uniform disc reads with the profile's pattern (see `readingsOnDisc`): correlation
 * after Pearson, which neither the current nor a contact impedance that is the same in all readings changes. Thighs of
 * the forward model have 0.98 and more; in another order 0.7 and less. Near −1 all signs are turned round.
 *
 * @returns null where all readings are alike
 */
export function agreementWithDisc(profile: BoardProfile, frame: Float64Array): number | null {
	const disc = readingsOnDisc(patternOf(profile).terminals, profile.electrodeCount);
	return correlation(frame, disc);
}

/** Least agreement of a frame in the right order. */
export const leastAgreement = 0.85;

function correlation(a: Float64Array, b: Float64Array): number | null {
	const meanA = a.reduce((sum, value) => sum + value, 0) / a.length;
	const meanB = b.reduce((sum, value) => sum + value, 0) / b.length;
	let products = 0;
	let squaresA = 0;
	let squaresB = 0;
	for (let i = 0; i < a.length; i++) {
		const [x, y] = [a[i]! - meanA, b[i]! - meanB];
		products += x * y;
		squaresA += x * x;
		squaresB += y * y;
	}
	const found = products / Math.sqrt(squaresA * squaresB);
	return Number.isFinite(found) ? found : null;
}
