/** The page as a PDF, for the page itself to save like any other export. */
import type { PrintToPDFOptions } from "electron";
import { electronSettings } from "./settings.ts";

/** What is needed of Electron's `webContents`. */
export interface Printable {
	printToPDF(options: PrintToPDFOptions): Promise<Uint8Array>;
}

/** @returns null where Chromium could not print, such as for a page that is just closing */
export async function makePdf(contents: Printable): Promise<Uint8Array | null> {
	try {
		return await contents.printToPDF(electronSettings.pdf);
	} catch (error) {
		process.stderr.write(`no PDF could be made: ${String(error)}\n`);
		return null;
	}
}
