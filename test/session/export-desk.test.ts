import { expect, test } from "vitest";
import { createExportDesk, type ExportDesk } from "../../app/session/export-desk.ts";
import { exportSession } from "../../app/store/export-session.ts";
import type { Store } from "../../app/store/store.ts";
import {
	createConfiguration,
	createFrame,
	createOpenStore,
	newSession,
	unwrap,
} from "../store/create-store.ts";

function createSession(store: Store, frames: number): number {
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(createConfiguration());
	for (let i = 0; i < frames; i++) recorder.appendFrame(createFrame(i), 1e12 + i, 0, 1);
	unwrap(recorder.close());
	return recorder.sessionId;
}

function readAll(desk: ExportDesk, exportId: number): { texts: string[]; shares: number[] } {
	const texts: string[] = [];
	const shares: number[] = [];
	for (;;) {
		const piece = unwrap(desk.read(exportId));
		texts.push(piece.text);
		shares.push(piece.share);
		if (piece.isLast) return { texts, shares };
	}
}

test("the pieces make the very file, each of them small, with how much is done", () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 350);
	const desk = createExportDesk();
	const { exportId, ...named } = unwrap(desk.open(store, { sessionId, format: "json" }));
	expect(named).toEqual({
		fileName: `tautline-session-${sessionId}-2026-03-01.json`,
		mediaType: "application/json",
	});
	const { texts, shares } = readAll(desk, exportId);
	const whole = texts.join("");
	const { pieces } = unwrap(exportSession(store, sessionId, "json", JSON.parse(whole).exportedBy));
	expect(whole).toBe([...pieces].map(unwrap).join(""));
	// 350 frames go in four pieces, between a head and an end.
	expect(texts).toHaveLength(7);
	expect(shares).toEqual([...shares].sort((a, b) => a - b));
	expect(shares.at(-1)).toBe(1);
});

test("two are read side by side, and one that was read to its end or left is put away", () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 2);
	const desk = createExportDesk();
	const open = () => unwrap(desk.open(store, { sessionId, format: "csv" })).exportId;
	const [first, second] = [open(), open()];
	unwrap(desk.read(first));
	const { texts } = readAll(desk, second);
	expect(texts.join("").split("\r\n")).toHaveLength(4);
	expect(desk.read(second)).toMatchObject({ ok: false, error: { kind: "invalid-argument" } });
	for (let i = 0; i < 4; i++) open();
	expect(desk.read(first)).toMatchObject({ ok: false, error: { path: "exportId" } });
});

test("tells a session that is not there", () => {
	const { store } = createOpenStore();
	const error = { kind: "no-such-record", what: "session", id: 9 };
	expect(createExportDesk().open(store, { sessionId: 9, format: "json" })).toEqual({ ok: false, error });
});
