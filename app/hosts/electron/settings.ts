/** Every setting that the desktop window's safety rests on, in one place and without Electron, so that a test can hold
 *  them to the checklist. */
import { contentSecurityPolicy } from "../content-policy.ts";

export const electronSettings = {
	/** Our own scheme instead of `file://`: only the built renderer's files are behind it. */
	scheme: "tautline",
	origin: "tautline://app",
	entryUrl: "tautline://app/index.html",
	schemePrivileges: { standard: true, secure: true, supportFetchAPI: true },
	webPreferences: {
		contextIsolation: true,
		sandbox: true,
		nodeIntegration: false,
		nodeIntegrationInWorker: false,
		nodeIntegrationInSubFrames: false,
		webSecurity: true,
		allowRunningInsecureContent: false,
		experimentalFeatures: false,
		webviewTag: false,
		navigateOnDragDrop: false,
		spellcheck: false,
	},
	contentSecurityPolicy: contentSecurityPolicy("'self'"),
	/** Nothing that a page could ask the system for is granted. */
	permissions: [] as readonly string[],
	/** The one message that the preload script may send: "this page wants its pipe". */
	openPipeChannel: "tautline-open-pipe",
	/** What the page's port arrives under (`app/contract.ts`). */
	portMessage: "tautline-port",
} as const;

/** For messages: exactly our origin, compared as parsed. */
export function isOurOrigin(url: string): boolean {
	const parsed = URL.parse(url);
	// Schemes of one's own have the opaque origin "null" outside Chromium: compare what it is made of.
	return parsed !== null && `${parsed.protocol}//${parsed.host}` === electronSettings.origin;
}
