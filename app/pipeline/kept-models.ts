/**
 * Models on disk, each in a file named after a hash of everything that it depends on. Whatever is wrong with a file, the
 * model is made again: nothing here is the only copy of anything.
 *
 * | offset | content                                             |
 * |-------:|-----------------------------------------------------|
 * |      0 | magic and version of the format, 16 bytes           |
 * |     16 | the key that it was stored under, 32 bytes          |
 * |     48 | SHA-256 of what follows, 32 bytes                   |
 * |     80 | the model (`packed-arrays.ts`)                      |
 */
import { createHash, randomUUID } from "node:crypto";
import {
	closeSync,
	mkdirSync,
	openSync,
	readdirSync,
	readFileSync,
	renameSync,
	rmSync,
	statSync,
	utimesSync,
	writeSync,
} from "node:fs";
import { join } from "node:path";
import { packArrays, unpackArrays } from "./packed-arrays.ts";

/** Always 16 bytes; another number where the layout of the file changes. */
const MAGIC = "tautline model 1";
const KEY_AT = 16;
const SUM_AT = 48;
const DATA_AT = 80;
const ENDING = ".model";
/** Of a file that is being written; one that was left by a crash goes once it is so old. */
const WRITING = ".writing";
const LEFT_AFTER_MS = 60 * 60 * 1000;

/** All files together, bytes: about twenty models of two bands of 16 electrodes, 52 MB each, one for each person measured. */
const MOST_BYTES = 1024 * 1024 * 1024;

export interface KeptModels {
	/** @returns what was stored under the key; null when there is none, or none that can be trusted */
	load(key: string): unknown;
	/** Puts it in the place of what was there, then drops what was not used for longest until all fits.
	 *  @returns false when it could not be written: a full disk, or a folder that cannot be written to */
	store(key: string, model: unknown): boolean;
}

/** @param parts everything that the model depends on, as plain data; the order of members does not count
 *  @param algorithm version of what makes it
 *  @returns 64 hexadecimal digits */
export function keyOf(parts: unknown, algorithm: string): string {
	return createHash("sha256")
		.update(JSON.stringify([MAGIC, algorithm, parts], sortedMembers))
		.digest("hex");
}

export function createKeptModels(folder: string, mostBytes = MOST_BYTES): KeptModels {
	const pathOf = (key: string): string => join(folder, key + ENDING);

	function load(key: string): unknown {
		const path = pathOf(key);
		// Copied, for a small file may lie anywhere in a buffer that others share.
		const bytes = attempt(() => new Uint8Array(readFileSync(path)));
		if (bytes === null || bytes.byteLength < DATA_AT) return null;
		const text = new TextDecoder("latin1").decode(bytes.subarray(0, KEY_AT));
		if (text !== MAGIC || hex(bytes.subarray(KEY_AT, SUM_AT)) !== key) return null;
		const data = bytes.subarray(DATA_AT);
		if (hex(bytes.subarray(SUM_AT, DATA_AT)) !== sumOf(data)) return null;
		// When it was last used decides what has to go first.
		attempt(() => utimesSync(path, new Date(), new Date()));
		return unpackArrays(data);
	}

	function store(key: string, model: unknown): boolean {
		const data = packArrays(model);
		const head = new Uint8Array(DATA_AT);
		head.set(new TextEncoder().encode(MAGIC));
		head.set(Buffer.from(key, "hex"), KEY_AT);
		head.set(Buffer.from(sumOf(data), "hex"), SUM_AT);
		const aside = join(folder, `${randomUUID()}${WRITING}`);
		const stored = attempt(() => {
			mkdirSync(folder, { recursive: true });
			const file = openSync(aside, "wx");
			try {
				writeAll(file, head);
				writeAll(file, data);
			} finally {
				closeSync(file);
			}
			renameSync(aside, pathOf(key));
			return true;
		});
		if (stored === null) attempt(() => rmSync(aside, { force: true }));
		attempt(() => makeRoom(key + ENDING));
		return stored === true;
	}

	/** @param newest stays, whatever its size */
	function makeRoom(newest: string): void {
		const files = readdirSync(folder)
			.filter((name) => name.endsWith(ENDING) || name.endsWith(WRITING))
			.flatMap((name) => {
				// Another start of the app may have dropped it meanwhile.
				const stat = attempt(() => statSync(join(folder, name)));
				return stat === null ? [] : [{ name, size: stat.size, used: stat.mtimeMs }];
			});
		const left = files.filter(
			({ name, used }) => name.endsWith(WRITING) && used < Date.now() - LEFT_AFTER_MS,
		);
		const models = files.filter(({ name }) => name.endsWith(ENDING)).sort((a, b) => a.used - b.used);
		let bytes = models.reduce((sum, { size }) => sum + size, 0);
		for (const { name, size } of models) {
			if (bytes <= mostBytes) break;
			if (name === newest) continue;
			rmSync(join(folder, name), { force: true });
			bytes -= size;
		}
		for (const { name } of left) rmSync(join(folder, name), { force: true });
	}

	return { load, store };
}

function sumOf(data: Uint8Array): string {
	return createHash("sha256").update(data).digest("hex");
}

function hex(bytes: Uint8Array): string {
	return Buffer.from(bytes).toString("hex");
}

function writeAll(file: number, bytes: Uint8Array): void {
	let at = 0;
	while (at < bytes.byteLength) at += writeSync(file, bytes, at);
}

function sortedMembers(_: string, part: unknown): unknown {
	if (ArrayBuffer.isView(part)) return Array.from(part as Uint16Array);
	if (typeof part !== "object" || part === null || Array.isArray(part)) return part;
	return Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** What the disk refuses is no fault of a cache: the model is made, or not kept. */
function attempt<T>(work: () => T): T | null {
	try {
		return work();
	} catch (error) {
		if (error instanceof Error && "code" in error) return null;
		throw error;
	}
}
