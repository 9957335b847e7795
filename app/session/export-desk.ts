import { failure, type Result, success } from "../../core/result.ts";
import type { ExportPiece, Fault, OpenExport, RequestArgument } from "../contract.ts";
import { exportSession, FRAMES_IN_PIECE, sessionFileName } from "../store/export-session.ts";
import { type VolumeMeans, volumeDocument, volumeTable } from "../store/export-volume.ts";
import type { Store } from "../store/store.ts";
import { APP_VERSION } from "./app-version.ts";

/** Sessions as files, handed out piece by piece at the pace of whoever reads: none is ever held as a whole. */
export interface ExportDesk {
	open(store: Store, wish: RequestArgument<"exportSession">): Result<OpenExport, Fault>;
	/** Whoever calls this off, while something is computed, calls the file off. */
	read(exportId: number, signal: AbortSignal): Promise<Result<ExportPiece, Fault>>;
	/** Gives up what is being computed. */
	dispose(): void;
}

/** `collectVolumeMeans` with what it needs. */
export type CollectVolumeMeans = (
	store: Store,
	sessionId: number,
	onShare: (share: number) => void,
	signal: AbortSignal,
) => Promise<Result<VolumeMeans, Fault>>;

interface OpenFile {
	/** What is still to be computed; null once all is there. */
	making: Making | null;
	pieces: Generator<Result<string, Fault>>;
	/** How many there are, about; nothing to speak of where they were computed first. */
	readonly count: number | null;
	read: number;
}

interface Making {
	readonly abort: AbortController;
	readonly done: Promise<Result<OpenFile["pieces"], Fault>>;
	share: number;
	/** Called when `share` is another. */
	wake: () => void;
}

/** Pages that were closed leave theirs behind: the oldest makes room. */
const MOST_OPEN = 4;
/** Less is not seen on a bar. */
const STEP = 0.01;
const EXPORTED_BY = `Tautline ${APP_VERSION}`;

export function createExportDesk(collect: CollectVolumeMeans): ExportDesk {
	const open = new Map<number, OpenFile>();
	let lastId = 0;

	function close(id: number): void {
		open.get(id)?.making?.abort.abort();
		open.delete(id);
	}

	function add(file: OpenFile, named: Omit<OpenExport, "exportId">): Result<OpenExport, Fault> {
		for (const id of open.keys()) if (open.size >= MOST_OPEN) close(id);
		lastId++;
		open.set(lastId, file);
		return success({ exportId: lastId, ...named });
	}

	function openVolume(
		store: Store,
		sessionId: number,
		format: "volume-csv" | "volume-json",
	): Result<OpenExport, Fault> {
		const detail = store.session(sessionId);
		if (!detail.ok) return detail;
		const isTable = format === "volume-csv";
		const making = make(store, sessionId, (means) =>
			isTable ? volumeTable(means) : volumeDocument(means, EXPORTED_BY),
		);
		const name = `${sessionFileName(detail.value)}-volume`;
		return add(
			{ making, pieces: nothing(), count: null, read: 0 },
			isTable
				? { fileName: `${name}.csv`, mediaType: "text/csv" }
				: { fileName: `${name}.json`, mediaType: "application/json" },
		);
	}

	function make(
		store: Store,
		sessionId: number,
		piecesOf: (means: VolumeMeans) => OpenFile["pieces"],
	): Making {
		const abort = new AbortController();
		const onShare = (share: number): void => {
			if (share < making.share + STEP) return;
			making.share = share;
			making.wake();
		};
		const done = collect(store, sessionId, onShare, abort.signal).then((means) =>
			means.ok ? success(piecesOf(means.value)) : means,
		);
		const making: Making = { abort, done, share: 0, wake: () => undefined };
		return making;
	}

	/** @returns true once all is there, false where more is to be computed */
	async function wait(making: Making, signal: AbortSignal): Promise<boolean> {
		const next = new Promise<void>((resolve) => {
			making.wake = resolve;
		});
		const giveUp = (): void => making.abort.abort();
		signal.addEventListener("abort", giveUp);
		const isDone = await Promise.race([making.done.then(() => true), next.then(() => false)]);
		signal.removeEventListener("abort", giveUp);
		return isDone;
	}

	return {
		open(store, { sessionId, format }) {
			if (format === "volume-csv" || format === "volume-json") return openVolume(store, sessionId, format);
			const made = exportSession(store, sessionId, format, EXPORTED_BY);
			if (!made.ok) return made;
			const { pieces, frameCount, fileName, mediaType } = made.value;
			const count = Math.max(1, frameCount / FRAMES_IN_PIECE);
			return add({ making: null, pieces, count, read: 0 }, { fileName, mediaType });
		},
		async read(exportId, signal) {
			const one = open.get(exportId);
			if (one === undefined) {
				const expected = "a file that is being written out: export it again";
				return failure({ kind: "invalid-argument", path: "exportId", expected, got: String(exportId) });
			}
			if (one.making !== null) {
				const isDone = await wait(one.making, signal);
				if (!isDone) return success({ text: "", isLast: false, share: one.making.share });
				const made = await one.making.done;
				one.making = null;
				if (!made.ok) {
					close(exportId);
					return made;
				}
				one.pieces = made.value;
			}
			const next = one.pieces.next();
			if (next.done === true || !next.value.ok) close(exportId);
			if (next.done === true) return success({ text: "", isLast: true, share: 1 });
			if (!next.value.ok) return next.value;
			const share = one.count === null ? 1 : Math.min(1, one.read / one.count);
			one.read++;
			return success({ text: next.value.value, isLast: false, share });
		},
		dispose() {
			for (const id of [...open.keys()]) close(id);
		},
	};
}

function* nothing(): Generator<never> {}
