import { expect, test } from "vitest";
import { createExportDesk, type ExportDesk } from "../../app/session/export-desk.ts";
import { exportSession } from "../../app/store/export-session.ts";
import type { VolumeMeans } from "../../app/store/export-volume.ts";
import type { Store } from "../../app/store/store.ts";
import { failure, success } from "../../core/result.ts";
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

const never = new AbortController().signal;
const noVolumes = () => Promise.reject(new Error("no volume was asked for"));

async function readAll(desk: ExportDesk, exportId: number): Promise<{ texts: string[]; shares: number[] }> {
	const texts: string[] = [];
	const shares: number[] = [];
	for (;;) {
		const piece = unwrap(await desk.read(exportId, never));
		texts.push(piece.text);
		shares.push(piece.share);
		if (piece.isLast) return { texts, shares };
	}
}

test("the pieces make the very file, each of them small, with how much is done", async () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 350);
	const desk = createExportDesk(noVolumes);
	const { exportId, ...named } = unwrap(desk.open(store, { sessionId, format: "json" }));
	expect(named).toEqual({
		fileName: `tautline-session-${sessionId}-2026-03-01.json`,
		mediaType: "application/json",
	});
	const { texts, shares } = await readAll(desk, exportId);
	const whole = texts.join("");
	const { pieces } = unwrap(exportSession(store, sessionId, "json", JSON.parse(whole).exportedBy));
	expect(whole).toBe([...pieces].map(unwrap).join(""));
	// 350 frames go in four pieces, between a head and an end.
	expect(texts).toHaveLength(7);
	expect(shares).toEqual([...shares].sort((a, b) => a - b));
	expect(shares.at(-1)).toBe(1);
});

test("two are read side by side, and one that was read to its end or left is put away", async () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 2);
	const desk = createExportDesk(noVolumes);
	const open = () => unwrap(desk.open(store, { sessionId, format: "csv" })).exportId;
	const [first, second] = [open(), open()];
	unwrap(await desk.read(first, never));
	const { texts } = await readAll(desk, second);
	expect(texts.join("").split("\r\n")).toHaveLength(4);
	expect(await desk.read(second, never)).toMatchObject({ ok: false, error: { kind: "invalid-argument" } });
	for (let i = 0; i < 4; i++) open();
	expect(await desk.read(first, never)).toMatchObject({ ok: false, error: { path: "exportId" } });
});

test("tells a session that is not there", () => {
	const { store } = createOpenStore();
	const error = { kind: "no-such-record", what: "session", id: 9 };
	expect(createExportDesk(noVolumes).open(store, { sessionId: 9, format: "json" })).toEqual({
		ok: false,
		error,
	});
});

const means = {
	detail: { summary: { id: 1, simulated: true, personCode: null } },
	algorithmVersion: "volume-9",
	modelHash: "ab12",
	geometry: { unit: "S/m" },
	regions: [
		{ id: "a", name: "Vastus lateralis" },
		{ id: "b", name: "Biceps femoris" },
	],
	seconds: Float64Array.of(0.5, 1),
	ordinals: Uint32Array.of(1, 3),
	means: Float32Array.of(0.01, Number.NaN, 0.02, -0.005),
	rests: [{ row: 0, regionNoise: [0.001, 0.002] }],
	leftOut: [{ row: 1, electrodes: [[], [4]] }],
} as unknown as VolumeMeans;

/** The work goes on as the test says. */
function createVolumeDesk() {
	const calls: { step: (share: number) => void; finish: () => void; signal: AbortSignal }[] = [];
	const desk = createExportDesk(
		(_store, _id, step, signal) =>
			new Promise((resolve) => {
				calls.push({ step, signal, finish: () => resolve(success(means)) });
				signal.addEventListener("abort", () => resolve(failure({ kind: "cancelled" })));
			}),
	);
	return { desk, calls };
}

test("a table of volumes is computed first, with how far it is, and says in each row what made it", async () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 2);
	const { desk, calls } = createVolumeDesk();
	const { exportId, ...named } = unwrap(desk.open(store, { sessionId, format: "volume-csv" }));
	expect(named.fileName).toBe(`tautline-session-${sessionId}-2026-03-01-volume.csv`);
	const first = desk.read(exportId, never);
	calls[0]!.step(0.4);
	expect(unwrap(await first)).toEqual({ text: "", isLast: false, share: 0.4 });
	calls[0]!.finish();
	const { texts } = await readAll(desk, exportId);
	expect(texts.join("").split("\r\n")).toEqual([
		"session,simulated,person,frame,session time [s],electrodes left out [band:number],volume algorithm,model [SHA-256],Vastus lateralis [S/m],Biceps femoris [S/m]",
		"1,yes,,1,0.500000,,volume-9,ab12,0.01,",
		"1,yes,,3,1.000000,2:4,volume-9,ab12,0.02,-0.005",
		"",
	]);
});

test("a document of volumes is JSON with the same", async () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 2);
	const { desk, calls } = createVolumeDesk();
	const { exportId } = unwrap(desk.open(store, { sessionId, format: "volume-json" }));
	calls[0]!.finish();
	const { texts } = await readAll(desk, exportId);
	expect(JSON.parse(texts.join(""))).toMatchObject({
		format: "tautline-volume-means",
		simulated: true,
		volumeAlgorithm: "volume-9",
		model: { sha256: "ab12", unit: "S/m" },
		leftOut: [{ row: 1, electrodes: [[], [4]] }],
		rows: [
			{ frame: 1, seconds: 0.5, regionMeans: [expect.closeTo(0.01, 8), null] },
			{ frame: 3, seconds: 1, regionMeans: [expect.closeTo(0.02, 8), expect.closeTo(-0.005, 8)] },
		],
	});
});

test("whoever stops reading while volumes are computed stops the work", async () => {
	const { store } = createOpenStore();
	const sessionId = createSession(store, 2);
	const { desk, calls } = createVolumeDesk();
	const { exportId } = unwrap(desk.open(store, { sessionId, format: "volume-csv" }));
	const leaving = new AbortController();
	const piece = desk.read(exportId, leaving.signal);
	leaving.abort();
	expect(await piece).toEqual({ ok: false, error: { kind: "cancelled" } });
	expect(calls[0]!.signal.aborted).toBe(true);
	expect(await desk.read(exportId, never)).toMatchObject({ ok: false, error: { path: "exportId" } });
});
