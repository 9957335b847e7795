import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { beforeAll, expect, test } from "vitest";
import { buildElectron, electronFolder, projectFolder } from "../../app/build.ts";
import { createVolumeBuilder } from "../../app/pipeline/volume-builder.ts";
import { firstSource } from "../../app/session/backend.ts";
import { makeDemoApart } from "../../app/session/demo/demo-maker.ts";
import { demoPeople } from "../../app/session/demo/demo-people.ts";
import { createVolumeRequest } from "../pipeline/create-volume-request.ts";
import { openBackend } from "../session/open-backend.ts";

beforeAll(async () => {
	await buildElectron(() => undefined);
});

function readBundle(name: string): string {
	return readFileSync(join(electronFolder, name), "utf8");
}

test("the bundled workers make a picture of the bundled simulated band", async () => {
	const scene = openBackend({
		workerFolder: pathToFileURL(`${electronFolder}/`),
		source: { ...firstSource, scenario: "rest" },
	});
	const picture = await scene.untilPicture(() => true);
	expect(picture.nodeValues.length).toBeGreaterThan(500);
	await scene.close();
});

test("the bundled worker makes a demo clinic", async () => {
	const folder = mkdtempSync(join(tmpdir(), "tautline-bundle-"));
	const path = join(folder, "fresh.sqlite");
	const made = await makeDemoApart(
		pathToFileURL(join(electronFolder, "demo-worker.js")),
		{
			path,
			today: Date.now(),
			migrationsFolder: join(projectFolder, "migrations"),
			people: demoPeople.filter(({ story }) => story === "new"),
			days: 1,
		},
		() => undefined,
		new AbortController().signal,
	);
	expect(made).toEqual({ ok: true, value: null });
	expect(existsSync(path)).toBe(true);
	rmSync(folder, { recursive: true });
});

test("the bundled worker makes a volume, and finds it again", async () => {
	const folder = mkdtempSync(join(tmpdir(), "tautline-bundle-"));
	const builder = createVolumeBuilder(pathToFileURL(join(electronFolder, "volume-worker.js")), folder);
	const { signal } = new AbortController();
	for (const wasKept of [false, true])
		expect(await builder.build(createVolumeRequest(), () => undefined, signal)).toMatchObject({
			ok: true,
			value: { wasKept },
		});
	await builder.dispose();
	rmSync(folder, { recursive: true });
});

test("the preload script needs nothing but Electron, as a sandbox demands", () => {
	const needed = [...readBundle("preload.cjs").matchAll(/require\("([^"]+)"\)/g)].map(([, name]) => name);
	expect(needed).toEqual(["electron"]);
});

test("the bundle leaves only Electron and the two native modules outside", () => {
	// What it shares with a worker lies in a file beside it.
	const files = readdirSync(electronFolder).filter((name) => name.endsWith(".js"));
	const outside = files
		.flatMap((file) => [...readBundle(file).matchAll(/^import .* from "([^".][^"]*)";$/gm)])
		.map(([, name]) => name)
		.filter((name) => !name?.startsWith("node:"));
	expect(new Set(outside)).toEqual(new Set(["electron", "better-sqlite3", "serialport"]));
});

// Values as docs/tutorial/fuses.md of Electron recommends for an app with content behind its own scheme.
test.each([
	["runAsNode", false],
	["enableNodeOptionsEnvironmentVariable", false],
	["enableNodeCliInspectArguments", false],
	["enableEmbeddedAsarIntegrityValidation", true],
	["onlyLoadAppFromAsar", true],
	["grantFileProtocolExtraPrivileges", false],
])("the packaged app's fuse %s is %s", (fuse, value) => {
	expect(readFileSync(join(projectFolder, "electron-builder.yml"), "utf8")).toMatch(
		new RegExp(`^ {2}${fuse}: ${value}$`, "m"),
	);
});
