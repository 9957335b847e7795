import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { plainBoard } from "./memory-source.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

let folder: string;
let scene: OpenBackend | null = null;

beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-store-"));
});

afterEach(async () => {
	await scene?.close();
	scene = null;
	rmSync(folder, { recursive: true });
});

/** The app is open, its board is shown, and what needs records says why there are none. */
async function expectLiveWithout(opened: OpenBackend, kind: string): Promise<void> {
	expect(opened.backend.state().storeFault?.kind).toBe(kind);
	await opened.until(({ link }) => link.state === "waiting-for-board");
	opened.source.announce();
	expect(opened.backend.state().board?.serial).toBe(plainBoard.serial);
	for (const [name, argument] of [
		["startRecording", { title: "" }],
		["listSessions", { personId: null, offset: 0, limit: 1 }],
		["listPeople", null],
		["openReplay", { sessionId: 1 }],
		["importRecording", { fileName: "x", text: "{}" }],
	] as const) {
		expect([name, await opened.backend.request(name, argument)]).toMatchObject([
			name,
			{ ok: false, error: { kind } },
		]);
	}
	// What is only remembered, not recorded, still works until the app ends.
	const { version } = opened.backend.state().cautions;
	expect(await opened.backend.request("acknowledgeCautions", { version })).toEqual({ ok: true, value: null });
	expect(opened.backend.state().cautions.acknowledged).toBe(true);
}

describe("the app opens and shows the live picture", () => {
	test("when the records are another program's, and leaves them as they are", async () => {
		const path = join(folder, "tautline.sqlite");
		const other = new DatabaseSync(path);
		other.exec(
			"PRAGMA application_id = 7; CREATE TABLE letters (text TEXT); INSERT INTO letters VALUES ('kept')",
		);
		other.close();
		const bytes = readFileSync(path);
		scene = openBackend({ dataFolder: folder });
		await expectLiveWithout(scene, "store-foreign");
		expect(readFileSync(path)).toEqual(bytes);
	});

	test("when the records are damaged, and puts them aside, whole", async () => {
		const path = join(folder, "tautline.sqlite");
		scene = openBackend({ dataFolder: folder, source: null });
		await scene.ask("savePerson", { id: null, code: "A", displayName: null, affectedSide: "none" });
		await scene.close();
		const bytes = readFileSync(path);
		// Pages of the tables are gone; the header still says whose file it is.
		const damaged = Buffer.from(bytes);
		damaged.fill(0xa5, 4096);
		writeFileSync(path, damaged);
		scene = openBackend({ dataFolder: folder });
		await expectLiveWithout(scene, "store-corrupt");
		const { storeFault } = scene.backend.state();
		const keptAs = storeFault?.kind === "store-corrupt" ? storeFault.keptAs : null;
		expect(readFileSync(keptAs ?? "")).toEqual(damaged);
		await scene.close();

		// Told once, the next start begins a new file beside it.
		scene = openBackend({ dataFolder: folder, source: null });
		expect(scene.backend.state().storeFault).toBeNull();
		expect(readdirSync(folder)).toContain((keptAs ?? "").split("/").at(-1));
	});

	test("when the folder of the records cannot be made", async () => {
		const path = join(folder, "file");
		writeFileSync(path, "in the way");
		scene = openBackend({ dataFolder: join(path, "data") });
		await expectLiveWithout(scene, scene.backend.state().storeFault?.kind ?? "no fault");
		expect(readFileSync(path, "utf8")).toBe("in the way");
	});

	test.skipIf(process.getuid?.() === 0)("when the folder may not be written", async () => {
		const locked = join(folder, "locked");
		mkdirSync(locked);
		chmodSync(locked, 0o500);
		scene = openBackend({ dataFolder: locked });
		await expectLiveWithout(scene, "store-read-only");
		chmodSync(locked, 0o700);
	});
});
