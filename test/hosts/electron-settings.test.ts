import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { electronSettings, isOurOrigin } from "../../app/hosts/electron/settings.ts";

// What is asked here follows the security tutorial in Electron's own documentation (docs/tutorial/security.md).
test("the window is isolated, sandboxed and without Node", () => {
	expect(electronSettings.webPreferences).toMatchObject({
		contextIsolation: true,
		sandbox: true,
		nodeIntegration: false,
		nodeIntegrationInWorker: false,
		nodeIntegrationInSubFrames: false,
		webSecurity: true,
		allowRunningInsecureContent: false,
		experimentalFeatures: false,
		webviewTag: false,
	});
	expect(electronSettings.webPreferences).not.toHaveProperty("enableBlinkFeatures");
});

test("the page's policy lets nothing in from outside", () => {
	const policy = electronSettings.contentSecurityPolicy;
	expect(policy).toContain("default-src 'none'");
	expect(policy).toContain("connect-src 'self';");
	expect(policy).not.toMatch(/unsafe|\*|data:|https?:|ws:/);
});

test("no permission is granted and the content has a scheme of its own", () => {
	expect(electronSettings.permissions).toEqual([]);
	expect(electronSettings.entryUrl.startsWith(`${electronSettings.origin}/`)).toBe(true);
	expect(electronSettings.schemePrivileges).not.toHaveProperty("bypassCSP");
	expect(electronSettings.schemePrivileges).not.toHaveProperty("corsEnabled");
});

test.each([
	["tautline://app/index.html", true],
	["tautline://app", true],
	["tautline://app.evil.example/index.html", false],
	["tautline://evil/app", false],
	["tautline:app", false],
	["https://app/index.html", false],
	["file:///index.html", false],
	["about:blank", false],
	["", false],
])("%j is our origin: %s", (url, ours) => {
	expect(isOurOrigin(url)).toBe(ours);
});

test("the preload script hands out one function and never Electron's own object", () => {
	const source = readFileSync(new URL("../../app/hosts/electron/preload.ts", import.meta.url), "utf8");
	expect(source.match(/exposeInMainWorld/g)).toHaveLength(1);
	expect(source.match(/^\t\w+\(.*\): \w+ \{$/gm)).toEqual(["\topenPipe(): void {"]);
});
