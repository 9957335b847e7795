import { failure, type Result, success } from "../../core/result.ts";
import type { ExportPiece, Fault, OpenExport, RequestArgument } from "../contract.ts";
import { exportSession, FRAMES_IN_PIECE, type SessionExport } from "../store/export-session.ts";
import type { Store } from "../store/store.ts";
import { APP_VERSION } from "./app-version.ts";

/** Sessions as files, handed out piece by piece at the pace of whoever reads: none is ever held as a whole. */
export interface ExportDesk {
	open(store: Store, wish: RequestArgument<"exportSession">): Result<OpenExport, Fault>;
	read(exportId: number): Result<ExportPiece, Fault>;
}

/** Pages that were closed leave theirs behind: the oldest makes room. */
const MOST_OPEN = 4;

export function createExportDesk(): ExportDesk {
	const open = new Map<number, { readonly file: SessionExport; pieces: number }>();
	let lastId = 0;

	return {
		open(store, { sessionId, format }) {
			const made = exportSession(store, sessionId, format, `Tautline ${APP_VERSION}`);
			if (!made.ok) return made;
			for (const id of open.keys()) if (open.size >= MOST_OPEN) open.delete(id);
			lastId++;
			open.set(lastId, { file: made.value, pieces: 0 });
			const { fileName, mediaType } = made.value;
			return success({ exportId: lastId, fileName, mediaType });
		},
		read(exportId) {
			const one = open.get(exportId);
			if (one === undefined) {
				const expected = "a file that is being written out: export it again";
				return failure({ kind: "invalid-argument", path: "exportId", expected, got: String(exportId) });
			}
			const { file } = one;
			const next = file.pieces.next();
			if (next.done === true || !next.value.ok) open.delete(exportId);
			if (next.done === true) return success({ text: "", isLast: true, share: 1 });
			if (!next.value.ok) return next.value;
			const share = Math.min(1, (one.pieces * FRAMES_IN_PIECE) / Math.max(1, file.frameCount));
			one.pieces++;
			return success({ text: next.value.value, isLast: false, share });
		},
	};
}
