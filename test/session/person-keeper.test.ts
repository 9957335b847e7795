import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { expect, test } from "vitest";
import { createFakeClock } from "./fake-clock.ts";
import { openBackend } from "./open-backend.ts";

test("a person who was deleted while another program read the file is gone from the disk when it has ended", async () => {
	const clock = createFakeClock();
	const scene = openBackend({ clock, source: null });
	const path = join(scene.folder, "tautline.sqlite");
	const code = "UNMISTAKABLE-CODE-4713";
	const isReadable = () => [path, `${path}-wal`].some((file) => readFileSync(file).includes(code));
	try {
		const plain = { id: null, displayName: null, affectedSide: "left" } as const;
		const { id: personId } = await scene.ask("savePerson", { ...plain, code });
		const reader = new Database(path, { readonly: true });
		reader.exec("BEGIN");
		reader.prepare("SELECT count(*) FROM people").get();
		await scene.ask("deletePerson", { personId, code });
		expect(isReadable()).toBe(true);
		clock.turn(10_000);
		// whatever is asked for next comes after what the clock has begun
		await scene.ask("importPerson", { fileName: "none.json", text: "" }).catch(() => undefined);
		expect(isReadable()).toBe(true);
		reader.close();
		clock.turn(10_000);
		await scene.ask("importPerson", { fileName: "none.json", text: "" }).catch(() => undefined);
		expect(isReadable()).toBe(false);
	} finally {
		await scene.close();
		rmSync(scene.folder, { recursive: true, force: true });
	}
});
