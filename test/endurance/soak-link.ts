/**
 * An hour of a two-band board in less: 60 frames/s of 928 readings with one line in a hundred damaged, cut short, lost
 * or torn by bytes between, in chunks that do not care for lines, through the line cap, the line splitter, the parser
 * and the recorder into a database. Tells what arrived whole, what was stored, and how memory went.
 */
import { once } from "node:events";
import { createLineReader, type LineCapStream } from "../../app/link/line-stream.ts";
import type { Store } from "../../app/store/store.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import { configurationLines, frameLine } from "../../core/wire/board-lines.ts";
import { BoardParser } from "../../core/wire/board-parser.ts";
import { withBenchStoreAsync } from "../bench/bench-store.ts";
import { createConfiguration, newSession, unwrap } from "../store/create-records.ts";

export interface SoakFigures {
	readonly frames: number;
	readonly simulatedMinutes: number;
	/** Lines that were sent undamaged. */
	readonly arrivedWhole: number;
	readonly parsed: number;
	readonly stored: number;
	/** Stored readings that are not what was sent. */
	readonly differing: number;
	/** Told as lost by their gaps in the sequence. */
	readonly toldLost: number;
	readonly reallyLost: number;
	/** Of the heap and what it holds outside of itself after collecting, against that at a tenth of the way; null without `--expose-gc`. */
	readonly heapGrowthPercent: number | null;
	readonly residentGrowthPercent: number;
}

const readingCount = 928;
const framesPerSecond = 60;
const faultShare = 0.01;
const framesPerBatch = 24;

export function soakLink(
	frames: number,
	onProgress: (done: number) => void = () => {},
): Promise<SoakFigures> {
	return withBenchStoreAsync((store) => soak(store, frames, onProgress));
}

async function soak(store: Store, frames: number, onProgress: (done: number) => void): Promise<SoakFigures> {
	const settings = createConfiguration({
		electrodeCount: 32,
		readingCount,
		pattern: pattern32(),
		fullScale: 8_388_607,
	});
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(settings);
	let stored = 0;
	let differing = 0;
	const ignore = () => {};
	const parser = new BoardParser({
		onHello: ignore,
		onOtherVersion: ignore,
		onAbility: ignore,
		onConfiguration: ignore,
		onFrame(frame, lostBefore) {
			for (let i = 0; i < readingCount; i += 97) {
				if (frame.values[i] !== readingOf(frame.sequence, i)) differing++;
			}
			recorder.appendFrame(frame, stored, lostBefore, 1);
			stored++;
			if (stored % framesPerBatch === 0) unwrap(recorder.flush());
		},
		onStatus: ignore,
		onContacts: ignore,
		onReply: ignore,
		onRestart: ignore,
	});
	const { input: cap, lines } = createLineReader((line) => parser.parse(line));
	for (const line of configurationLines(settings).trimEnd().split("\n")) parser.parse(Buffer.from(line));

	const values = new Float64Array(readingCount);
	const faults = createSeededRandom(17).next;
	let arrivedWhole = 0;
	let firstWhole = -1;
	let lastWhole = -1;
	let early: { heap: number; resident: number } | null = null;
	let waiting: Buffer[] = [];
	let size = 0;
	for (let sequence = 0; sequence < frames; sequence++) {
		for (let i = 0; i < readingCount; i++) values[i] = readingOf(sequence, i);
		const time = Math.round((1e6 * sequence) / framesPerSecond) % 2 ** 32;
		const text = frameLine(0, settings.configuration, sequence, time, "i24", values);
		const isWhole = faults() >= faultShare;
		if (isWhole) {
			arrivedWhole++;
			if (firstWhole < 0) firstWhole = sequence;
			lastWhole = sequence;
		}
		const bytes = Buffer.from(isWhole ? text : damaged(text, faults), "latin1");
		waiting.push(bytes);
		size += bytes.length;
		if (size >= 50_000) {
			await writeInChunks(cap, Buffer.concat(waiting, size));
			waiting = [];
			size = 0;
		}
		if (sequence === Math.floor(frames / 10)) early = memory();
		if (sequence % 10_000 === 9999) onProgress(sequence + 1);
	}
	cap.end(Buffer.concat(waiting, size));
	await once(lines, "end");
	unwrap(recorder.flush());
	const late = memory();
	unwrap(recorder.close());
	const written = countStored(store, recorder.sessionId);
	const growth = (now: number, then: number) => Math.round((1000 * (now - then)) / then) / 10;
	return {
		frames,
		simulatedMinutes: Math.round((10 * frames) / framesPerSecond / 60) / 10,
		arrivedWhole,
		parsed: parser.counters.frames,
		stored: written.frames,
		differing: differing + written.differing,
		toldLost: parser.counters.lost,
		reallyLost: lastWhole - firstWhole + 1 - arrivedWhole,
		heapGrowthPercent: globalThis.gc === undefined ? null : growth(late.heap, early!.heap),
		residentGrowthPercent: growth(late.resident, early!.resident),
	};
}

/** Reads everything back. */
function countStored(store: Store, sessionId: number): { frames: number; differing: number } {
	let frames = 0;
	let differing = 0;
	for (;;) {
		const page = unwrap(store.readFrames(sessionId, frames, 256));
		if (page.length === 0) return { frames, differing };
		for (const { sequence, values } of page) {
			for (let i = 0; i < readingCount; i++) if (values[i] !== readingOf(sequence, i)) differing++;
		}
		frames += page.length;
	}
}

/** Chunks as a serial port gives them: of any size, without regard to lines. */
async function writeInChunks(cap: LineCapStream, bytes: Buffer): Promise<void> {
	for (let at = 0, size = 1; at < bytes.length; at += size) {
		size = 1 + ((at * 7919) % 8192);
		if (!cap.write(bytes.subarray(at, at + size))) await once(cap, "drain");
	}
}

function damaged(text: string, random: () => number): string {
	const at = Math.floor(random() * (text.length - 1));
	switch (Math.floor(random() * 4)) {
		case 0:
			return "";
		case 1:
			return `${text.slice(0, at)}\n`;
		case 2:
			return `${text.slice(0, at)}\u0000\u00ff#${text.slice(at)}`;
		default: {
			const other = text[at] === "A" ? "B" : "A";
			return `${text.slice(0, at)}${other}${text.slice(at + 1)}`;
		}
	}
}

function readingOf(sequence: number, i: number): number {
	return ((sequence * 7919 + i * 104_729) % 16_000_000) - 8_000_000;
}

function pattern32(): Uint16Array {
	return Uint16Array.from({ length: 4 * readingCount }, (_, i) => (i * 7) % 32);
}

function memory(): { heap: number; resident: number } {
	globalThis.gc?.();
	const { heapUsed, external, rss } = process.memoryUsage();
	return { heap: heapUsed + external, resident: rss };
}
