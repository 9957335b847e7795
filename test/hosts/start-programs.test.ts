import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { fetchElectron } from "../../app/hosts/electron/find-electron.ts";
import { findBrowser } from "../../app/hosts/find-browser.ts";
import { hasDisplay } from "../../app/hosts/open-window.ts";
import { defaultDataFolder } from "../../app/session/data-folder.ts";

describe("a browser is found", () => {
	function find(platform: NodeJS.Platform, env: Record<string, string>, present: string): string | null {
		return findBrowser({ platform, env, home: "/home/p", isExecutable: (path) => path === present });
	}

	test.each<[NodeJS.Platform, Record<string, string>, string]>([
		["linux", { PATH: "/usr/local/bin:/usr/bin" }, "/usr/bin/chromium"],
		["linux", { PATH: "/usr/bin" }, "/usr/bin/microsoft-edge"],
		["linux", {}, "/snap/bin/chromium"],
		["darwin", { PATH: "/usr/bin" }, "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"],
		["darwin", { PATH: "/usr/bin" }, "/home/p/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge"],
		["linux", { TAUTLINE_BROWSER: "/opt/b" }, "/opt/b"],
	])("on %s with %o at %s", (platform, env, present) => {
		expect(find(platform, env, present)).toBe(present);
	});

	test("on win32 under the folder of programs", () => {
		const present = join("C:/Programs", "Microsoft", "Edge", "Application", "msedge.exe");
		expect(find("win32", { "PROGRAMFILES(X86)": "C:/Programs" }, present)).toBe(present);
	});

	test("not where the person named one that is missing", () => {
		expect(find("linux", { TAUTLINE_BROWSER: "/opt/b", PATH: "/usr/bin" }, "/usr/bin/chromium")).toBeNull();
	});
});

test("a window is opened only where somebody would see it", () => {
	expect(hasDisplay("linux", {})).toBe(false);
	expect(hasDisplay("linux", { DISPLAY: ":0" })).toBe(true);
	expect(hasDisplay("linux", { WAYLAND_DISPLAY: "wayland-0" })).toBe(true);
	expect(hasDisplay("darwin", {})).toBe(true);
});

test("records are kept where each system keeps them", () => {
	expect(defaultDataFolder("linux", {}, "/home/p")).toBe("/home/p/.local/share/tautline");
	expect(defaultDataFolder("linux", { XDG_DATA_HOME: "/data" }, "/home/p")).toBe("/data/tautline");
	// XDG Base Directory Specification 0.8: paths must be absolute, others are ignored.
	expect(defaultDataFolder("linux", { XDG_DATA_HOME: "data" }, "/home/p")).toBe(
		"/home/p/.local/share/tautline",
	);
	expect(defaultDataFolder("darwin", {}, "/Users/p")).toBe("/Users/p/Library/Application Support/Tautline");
	expect(defaultDataFolder("win32", { LOCALAPPDATA: "C:/l" }, "C:/p")).toBe(join("C:/l", "Tautline"));
});

describe("fetching the desktop window's program", () => {
	let cacheFolder: string;
	const lines: string[] = [];
	const say = (line: string): void => {
		lines.push(line);
	};

	beforeEach(() => {
		cacheFolder = mkdtempSync(join(tmpdir(), "tautline-fetch-"));
		lines.length = 0;
	});

	afterEach(() => rmSync(cacheFolder, { recursive: true }));

	function installerThat(does: string): string {
		const installer = join(cacheFolder, "install.js");
		writeFileSync(installer, does);
		return installer;
	}

	test("is tried once, said, and after a failure not again for a day", async () => {
		const installer = installerThat("process.exit(1)");
		const now = 1_000_000;
		expect((await fetchElectron({ cacheFolder, now, say, installer })).kind).toBe("failed");
		expect(lines).toHaveLength(1);
		expect((await fetchElectron({ cacheFolder, now: now + 1000, say, installer })).kind).toBe("not-tried");
		expect(lines).toHaveLength(1);
		const nextDay = now + 25 * 3600 * 1000;
		expect((await fetchElectron({ cacheFolder, now: nextDay, say, installer })).kind).toBe("failed");
	});

	test("forgets a failure after a success", async () => {
		await fetchElectron({ cacheFolder, now: 0, say, installer: installerThat("process.exit(1)") });
		const later = { cacheFolder, now: 1e9, say, installer: installerThat("") };
		expect((await fetchElectron(later)).kind).toBe("ready");
		expect(existsSync(join(cacheFolder, "desktop-window-not-fetched"))).toBe(false);
	});

	test("is not waited for when the line is slow", async () => {
		const installer = installerThat("setInterval(() => {}, 1000)");
		const outcome = await fetchElectron({ cacheFolder, now: 0, say, installer, patienceMs: 1 });
		expect(outcome.kind).toBe("slow");
		if (outcome.kind === "slow") outcome.stop();
	});
});
