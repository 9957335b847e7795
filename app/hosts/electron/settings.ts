/** Every setting that the desktop window's safety rests on, in one place and without Electron, so that a test can hold
 *  them to the checklist. */
import type { PrintToPDFOptions } from "electron";
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
	/** "This page wants itself as a PDF": answered with its bytes, or null where none could be made. */
	makePdfChannel: "tautline-make-pdf",
	/** The report's own page boxes decide on paper and margins: Electron's defaults are Letter, scaled to fit, with margins
	 *  of 1 cm and no backgrounds. Lengths in inches. */
	pdf: {
		preferCSSPageSize: true,
		printBackground: true,
		displayHeaderFooter: false,
		landscape: false,
		scale: 1,
		margins: { top: 0, bottom: 0, left: 0, right: 0 },
		generateTaggedPDF: true,
	} satisfies PrintToPDFOptions,
	/** What the page's port arrives under (`app/contract.ts`). */
	portMessage: "tautline-port",
} as const;

/** For messages: exactly our origin, compared as parsed. */
export function isOurOrigin(url: string): boolean {
	const parsed = URL.parse(url);
	// Schemes of one's own have the opaque origin "null" outside Chromium: compare what it is made of.
	return parsed !== null && `${parsed.protocol}//${parsed.host}` === electronSettings.origin;
}
