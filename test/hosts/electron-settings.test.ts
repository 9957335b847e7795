import { readFileSync } from "node:fs";
import { expect, test, vi } from "vitest";
import { makePdf } from "../../app/hosts/electron/make-pdf.ts";
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

test("the preload script hands out two functions that take nothing, and never Electron's own object", () => {
	const source = readFileSync(new URL("../../app/hosts/electron/preload.ts", import.meta.url), "utf8");
	expect(source.match(/exposeInMainWorld/g)).toHaveLength(1);
	expect(source.match(/^\t\w+\(.*\): [\w<>]+ \{$/gm)).toEqual([
		"\topenPipe(): void {",
		"\tmakePdf(): Promise<unknown> {",
	]);
});

// Options as in Electron's documentation (docs/api/structures/print-to-pdf-options.md): without them a report would come
// out on Letter, scaled, with margins of its own and white where colour carries meaning.
test("a report is printed as its own page boxes say, with its colours", async () => {
	const asked: unknown[] = [];
	const bytes = Uint8Array.of(37, 80, 68, 70);
	const made = await makePdf({
		async printToPDF(options) {
			asked.push(options);
			return bytes;
		},
	});
	expect(made).toBe(bytes);
	expect(asked).toEqual([
		{
			preferCSSPageSize: true,
			printBackground: true,
			displayHeaderFooter: false,
			landscape: false,
			scale: 1,
			margins: { top: 0, bottom: 0, left: 0, right: 0 },
			generateTaggedPDF: true,
		},
	]);
});

test("a page that cannot be printed is told so", async () => {
	const stderr = vi.spyOn(process.stderr, "write").mockReturnValue(true);
	expect(await makePdf({ printToPDF: () => Promise.reject(new Error("closing")) })).toBeNull();
	expect(stderr).toHaveBeenCalledOnce();
	stderr.mockRestore();
});
