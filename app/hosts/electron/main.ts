/** The desktop window: the same backend and the same page as the loopback host, joined by a MessagePort. */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import {
	app,
	BrowserWindow,
	type IpcMainEvent,
	type IpcMainInvokeEvent,
	ipcMain,
	Menu,
	MessageChannelMain,
	protocol,
	session,
} from "electron";
import { defaultDataFolder } from "../../session/data-folder.ts";
import { createSwitchingBackend } from "../../session/switching-backend.ts";
import { saveOnDefect } from "../last-resort.ts";
import { createPage, type Page } from "../page.ts";
import { listStaticFiles } from "../static-files.ts";
import { makePdf } from "./make-pdf.ts";
import { electronSettings, isOurOrigin } from "./settings.ts";

// Runs as dist/electron/main.js: everything else lies beside it.
const here = fileURLToPath(new URL(".", import.meta.url));
const { values } = parseArgs({
	options: { data: { type: "string" }, serial: { type: "string", multiple: true } },
	strict: false,
	allowPositionals: true,
});
const dataFolder = typeof values.data === "string" ? values.data : defaultDataFolder();

protocol.registerSchemesAsPrivileged([
	{ scheme: electronSettings.scheme, privileges: electronSettings.schemePrivileges },
]);
app.enableSandbox();
// Chromium's own files (caches, locks) lie apart from the records.
const browserFolder = join(dataFolder, "window");
mkdirSync(browserFolder, { recursive: true });
app.setPath("userData", browserFolder);

if (app.requestSingleInstanceLock()) void start();
else app.quit();

async function start(): Promise<void> {
	await app.whenReady();
	const backend = createSwitchingBackend({
		dataFolder,
		serialPaths: Array.isArray(values.serial) ? values.serial.filter((path) => typeof path === "string") : [],
		workerFolder: new URL(".", import.meta.url),
		migrationsFolder: join(here, "..", "..", "migrations"),
	});
	saveOnDefect(() => backend.dispose());
	serveFiles();
	refuseEverythingElse();
	// The menu of a browser (reload, developer tools) has no place in a clinic's app; macOS needs one for copy and paste.
	if (process.platform !== "darwin") Menu.setApplicationMenu(null);
	let window = openWindow();
	let page: Page | null = null;

	ipcMain.on(electronSettings.openPipeChannel, (event) => {
		if (!isFromOurPage(event, window)) return;
		const { port1, port2 } = new MessageChannelMain();
		page?.dispose();
		const opened = createPage(backend, {
			post: (message) => port1.postMessage(message),
			postPicture(bytes, sent) {
				port1.postMessage(bytes.buffer);
				// `postMessage` has copied: the buffer is free again.
				sent();
			},
		});
		page = opened;
		port1.on("message", ({ data }) => {
			if (!opened.receive(data)) port1.close();
		});
		port1.on("close", () => opened.dispose());
		port1.start();
		event.senderFrame?.postMessage(electronSettings.openPipeChannel, null, [port2]);
	});

	ipcMain.handle(electronSettings.makePdfChannel, (event) =>
		isFromOurPage(event, window) ? makePdf(window.webContents) : null,
	);

	app.on("second-instance", () => {
		if (window.isMinimized()) window.restore();
		window.focus();
	});
	app.on("activate", () => {
		if (BrowserWindow.getAllWindows().length === 0) window = openWindow();
	});
	app.on("window-all-closed", () => {
		if (process.platform !== "darwin") app.quit();
	});
	let stopped = false;
	app.on("before-quit", (event) => {
		if (stopped) return;
		event.preventDefault();
		page?.dispose();
		void backend.dispose().then(() => {
			stopped = true;
			app.quit();
		});
	});
	for (const signal of ["SIGINT", "SIGTERM"] as const) process.on(signal, () => app.quit());
}

function openWindow(): BrowserWindow {
	const window = new BrowserWindow({
		width: 1360,
		height: 860,
		minWidth: 720,
		minHeight: 520,
		title: "Tautline",
		show: false,
		webPreferences: { ...electronSettings.webPreferences, preload: join(here, "preload.cjs") },
	});
	window.once("ready-to-show", () => window.show());
	void window.loadURL(electronSettings.entryUrl);
	return window;
}

/** A closed list of files behind our own scheme; every answer carries the policy. */
function serveFiles(): void {
	const files = listStaticFiles(join(here, "..", "renderer"));
	protocol.handle(electronSettings.scheme, (request) => {
		const file = isOurOrigin(request.url) ? files.get(new URL(request.url).pathname) : undefined;
		const headers = {
			"Content-Security-Policy": electronSettings.contentSecurityPolicy,
			"X-Content-Type-Options": "nosniff",
		};
		if (file === undefined || request.method !== "GET") return new Response(null, { status: 404, headers });
		return new Response(new Uint8Array(file.bytes), {
			headers: { ...headers, "Content-Type": file.contentType },
		});
	});
}

function refuseEverythingElse(): void {
	const ours = session.defaultSession;
	const granted = (permission: string): boolean => electronSettings.permissions.includes(permission);
	ours.setPermissionRequestHandler((_contents, permission, answer) => answer(granted(permission)));
	ours.setPermissionCheckHandler((_contents, permission) => granted(permission));
	ours.setDevicePermissionHandler(() => false);
	// Nothing but our own scheme is ever fetched, whatever a page tries.
	ours.webRequest.onBeforeRequest((details, answer) => answer({ cancel: !isAllowedRequest(details.url) }));
	app.on("web-contents-created", (_event, contents) => {
		contents.on("will-navigate", (event) => event.preventDefault());
		contents.on("will-redirect", (event) => event.preventDefault());
		contents.on("will-attach-webview", (event) => event.preventDefault());
		contents.setWindowOpenHandler(() => ({ action: "deny" }));
	});
}

function isAllowedRequest(url: string): boolean {
	// Exports are saved from a blob of the page's own making.
	return isOurOrigin(url) || url.startsWith(`blob:${electronSettings.origin}/`);
}

/** Fails closed: no frame, a subframe, another window or another origin gets no pipe. */
function isFromOurPage(event: IpcMainEvent | IpcMainInvokeEvent, window: BrowserWindow): boolean {
	const frame = event.senderFrame;
	return (
		frame !== null &&
		frame.parent === null &&
		!window.isDestroyed() &&
		event.sender === window.webContents &&
		isOurOrigin(frame.url)
	);
}
