/**
 * Random and mutated lines through the reader of the line protocol and the readers of board profiles. Whatever comes:
 * nothing is thrown, every line is counted once, a frame has the right number of finite readings and its time never
 * runs back, and the next good line is read. A frame is believed only with its right checksum, which is computed here
 * a second time, by table.
 */
import { configurationLines, frameLine, helloLine, statusLine } from "../../core/wire/board-lines.ts";
import { BoardParser } from "../../core/wire/board-parser.ts";
import type { Frame } from "../../core/wire/frame.ts";
import { type BoardProfile, parseProfile } from "../../core/wire/profile/board-profile.ts";
import { ProfileReader } from "../../core/wire/profile/profile-reader.ts";
import { createConfiguration } from "../store/create-records.ts";

export interface FuzzFigures {
	readonly lines: number;
	readonly framesRead: number;
	readonly linesRefused: number;
}

const bytesOf = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/** Marsaglia's xorshift32, J. Stat. Softw. 8(14), 2003: plain and fast. */
function createRandom(seed: number): (below: number) => number {
	let state = seed | 1;
	return (below) => {
		state ^= state << 13;
		state ^= state >>> 17;
		state ^= state << 5;
		return (state >>> 0) % below;
	};
}

const table = Uint16Array.from({ length: 256 }, (_, byte) => {
	let crc = byte << 8;
	for (let bit = 0; bit < 8; bit++) crc = crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1;
	return crc & 0xffff;
});

function checksum(bytes: Uint8Array, end: number): number {
	let crc = 0xffff;
	for (let i = 0; i < end; i++) crc = ((crc << 8) & 0xffff) ^ table[(crc >> 8) ^ bytes[i]!]!;
	return crc;
}

function hasRightChecksum(line: Uint8Array): boolean {
	let end = line.length;
	if (line[end - 1] === 0x0d) end--;
	const digits = String.fromCharCode(...line.subarray(end - 4, end));
	return (
		line[end - 5] === 0x7e &&
		/^[0-9A-F]{4}$/.test(digits) &&
		checksum(line, end - 5) === Number.parseInt(digits, 16)
	);
}

/** Bytes that a mutation writes: those that mean something to a reader, and any other. */
const telling = bytesOf(" ~,-.0123456789ABCDEFabcdef+/=eE;\t:#\r");

/** Changes a copy of a seed line in `target`: bytes replaced, removed, doubled, swapped; pieces of another line; cut off. */
function mutate(
	seedLine: Uint8Array,
	other: Uint8Array,
	target: Uint8Array,
	random: (below: number) => number,
): number {
	let length = Math.min(seedLine.length, target.length);
	target.set(seedLine.subarray(0, length));
	const edits = random(4);
	for (let edit = 0; edit < edits && length > 0; edit++) {
		const at = random(length);
		switch (random(7)) {
			case 0:
				target[at] = random(256);
				break;
			case 1:
				target[at] = telling[random(telling.length)]!;
				break;
			case 2:
				target.copyWithin(at, at + 1, length);
				length--;
				break;
			case 3:
				if (length < target.length) {
					target.copyWithin(at + 1, at, length);
					length++;
				}
				break;
			case 4:
				target[at] = target[random(length)]!;
				break;
			case 5: {
				const piece = other.subarray(0, random(other.length + 1));
				const fits = Math.min(piece.length, target.length - at);
				target.set(piece.subarray(0, fits), at);
				length = Math.max(length, at + fits);
				break;
			}
			default:
				length = at;
		}
	}
	return length;
}

function seal(target: Uint8Array, length: number): number {
	if (length + 5 > target.length) return length;
	const digits = checksum(target, length).toString(16).toUpperCase().padStart(4, "0");
	target.set(bytesOf(`~${digits}`), length);
	return length + 5;
}

export function fuzzProtocol(lineCount: number, seed: number): FuzzFigures {
	const random = createRandom(seed);
	const settings = createConfiguration({ electrodeCount: 8, readingCount: 40 });
	const values = Float64Array.from({ length: 40 }, (_, i) => 100 * i - 1000);
	const announcement = configurationLines(settings).trimEnd();
	const identity = {
		board: "b",
		firmware: "1",
		serial: "s",
		protocolVersion: 1,
		bandCount: 1,
		bootNumber: 7,
		simulated: true,
	};
	const seeds = [
		announcement,
		helloLine(identity, 5),
		statusLine({ bandIndex: 0, activity: "running", batteryPercent: 50 }, 9),
		"Z 0 34900000 250,310,-,275,1200,240,260,255",
		"A 17",
		"N 18 out-of-range",
		"B 0 8 100 2000 10000 100000 1 200",
		"C 8 0 8 listed 4 3 500 50000 1 1e-6 0",
		"R 8 0 0 0,4,1,2,0,4,2,3",
		"R 8 0 0 0,4,1:1,1:2,0,2:7,2,3",
		"Q 5 start * -",
		...(["d", "i16", "i24", "i32", "f32"] as const).map((encoding) =>
			frameLine(0, settings.configuration, 12, 400_000, encoding, values),
		),
	].map((line) => bytesOf(line.trimEnd().replace(/~.{4}$/, "")));

	let current: Uint8Array = new Uint8Array(0);
	let lastTime = -1;
	let restarts = 0;
	const onFrame = ({ values: read, timeMicros }: Frame) => {
		if (!hasRightChecksum(current)) throw new Error("a frame was believed without its checksum");
		for (let i = 0; i < read.length; i++)
			if (!Number.isFinite(read[i])) throw new Error("a reading that is no number");
		if (!Number.isSafeInteger(timeMicros) || timeMicros < lastTime - 1_000_000)
			throw new Error("time ran back");
		lastTime = Math.max(lastTime, timeMicros);
	};
	const ignore = () => {};
	const parser = new BoardParser({
		onHello: ignore,
		onOtherVersion: ignore,
		onAbility: ignore,
		onConfiguration: ignore,
		onFrame,
		onStatus: ignore,
		onContacts: ignore,
		onReply: ignore,
		onRestart: () => restarts++,
	});
	const counted = () =>
		parser.counters.lines + Object.values(parser.counters.bad).reduce((sum, n) => sum + n, 0);
	const scratch = new Uint8Array(2048);
	const good = bytesOf(statusLine({ bandIndex: 0, activity: "running", batteryPercent: 1 }, 0).trimEnd());
	const told = bytesOf(announcement);
	for (let i = 0; i < lineCount; i++) {
		// As a host asks for it again when settings are missing: without, few frames would be read.
		if (i % 20 === 0) parser.parse(told);
		const kind = random(16);
		let length: number;
		if (kind === 0) {
			length = random(200);
			for (let k = 0; k < length; k++) scratch[k] = random(256);
		} else {
			length = mutate(seeds[random(seeds.length)]!, seeds[random(seeds.length)]!, scratch, random);
			// Most get a right checksum: else little would be seen behind it.
			if (kind > 3) length = seal(scratch, length);
		}
		current = scratch.subarray(0, length);
		const before = counted();
		parser.parse(current);
		const isEmpty = length === 0 || (length === 1 && current[0] === 0x0d);
		if (counted() - before !== (isEmpty ? 0 : 1))
			throw new Error(`line ${i} was counted ${counted() - before} times`);
		if (i % 1000 === 999) {
			const lines = parser.counters.lines;
			parser.parse(good);
			if (parser.counters.lines !== lines + 1) throw new Error(`a good line was refused after line ${i}`);
		}
	}
	return {
		lines: lineCount,
		framesRead: parser.counters.frames,
		linesRefused: counted() - parser.counters.lines,
	};
}

interface ProfileCase {
	readonly profile: BoardProfile;
	readonly seeds: readonly Uint8Array[];
	readonly good: readonly Uint8Array[];
}

export function fuzzProfiles(lineCount: number, seed: number): FuzzFigures {
	const random = createRandom(seed);
	let framesRead = 0;
	let linesRefused = 0;
	const cases = profileCases();
	const share = Math.ceil(lineCount / cases.length);
	for (const { profile, seeds, good } of cases) {
		let lastTime = -1;
		const reader = new ProfileReader(profile, ({ values, timeMicros }) => {
			for (let i = 0; i < values.length; i++) {
				if (!Number.isFinite(values[i])) throw new Error("a reading that is no number");
			}
			if (!Number.isSafeInteger(timeMicros) || timeMicros < lastTime) throw new Error("time ran back");
			lastTime = timeMicros;
		});
		const scratch = new Uint8Array(2048);
		for (let i = 0; i < share; i++) {
			let length: number;
			if (random(16) === 0) {
				length = random(200);
				for (let k = 0; k < length; k++) scratch[k] = random(256);
			} else length = mutate(seeds[random(seeds.length)]!, seeds[random(seeds.length)]!, scratch, random);
			reader.parse(scratch.subarray(0, length), 20_000 * i);
			if (i % 1000 !== 999) continue;
			const frames = reader.counters.frames;
			for (const line of good) reader.parse(line, 20_000 * i);
			if (reader.counters.frames === frames) throw new Error(`a good frame was refused after line ${i}`);
		}
		framesRead += reader.counters.frames;
		for (const count of Object.values(reader.counters.bad)) linesRefused += count;
	}
	return { lines: share * cases.length, framesRead, linesRefused };
}

function profileCases(): ProfileCase[] {
	const values = Array.from({ length: 40 }, (_, i) => (i % 2 === 0 ? 1 : -1) * (i + 0.25));
	const payload = Buffer.alloc(82);
	payload.writeUInt16LE(80, 0);
	for (const [i, value] of values.entries()) payload.writeInt16LE(Math.trunc(value), 2 + 2 * i);
	const base = {
		format: "tautline-board-profile",
		version: 1,
		name: "Fuzzed",
		electrodeCount: 8,
		pattern: { kind: "named", drive: "adjacent", terminals: "four-terminal" },
		value: { unit: "mV" },
		drive: { currentMilliamp: 1, frequencyHertz: 50_000 },
	};
	const rows = Array.from(
		{ length: 8 },
		(_, row) => `${row},${values.slice(5 * row, 5 * row + 5).join(",")}`,
	);
	const written: [object, string[]][] = [
		[
			{
				line: { kind: "separated", separator: "," },
				time: { column: 0, unit: "ms" },
				readings: { kind: "run", first: 1 },
			},
			[`17,${values.join(",")}`],
		],
		[
			{
				line: { kind: "separated", separator: " ", hasDecimalComma: true },
				readings: { kind: "run", first: 0 },
			},
			[values.join(" ").replaceAll(".", ",")],
		],
		[
			{
				line: { kind: "keyed", separator: ";", assign: "=" },
				readings: { kind: "fields", columns: values.map((_, i) => `v${i}`) },
			},
			[values.map((value, i) => `v${i}=${value}`).join(";")],
		],
		[
			{
				line: { kind: "fixed-columns", ranges: values.map((_, i) => [8 * i, 8 * i + 8]) },
				readings: { kind: "run", first: 0 },
			},
			[values.map((value) => String(value).padStart(8)).join("")],
		],
		[
			{
				line: { kind: "separated", separator: "," },
				frame: { lines: 8, row: 0 },
				readings: { kind: "run", first: 1 },
			},
			rows,
		],
		[
			{
				line: { kind: "separated", separator: "," },
				readings: { kind: "base64", column: 0, number: "int16", byteOrder: "little-endian", prefixBytes: 2 },
			},
			[payload.toString("base64")],
		],
	];
	return written.map(([changes, lines]) => {
		const read = parseProfile({ ...base, ...changes });
		if (!read.ok) throw new Error(`${read.error.path}: ${read.error.expected}`);
		return { profile: read.value, seeds: lines.map(bytesOf), good: lines.map(bytesOf) };
	});
}
