/** Runs in the page's isolated world before its scripts. Hands the page two functions that take nothing: one port in
 *  answer to each call, or the page itself as a PDF; never `ipcRenderer`, never an event. */
import { contextBridge, ipcRenderer } from "electron";
import { electronSettings } from "./settings.ts";

/** The only part of the DOM that this script touches. */
declare const window: {
	readonly location: { readonly origin: string };
	postMessage(message: unknown, targetOrigin: string, transfer: readonly unknown[]): void;
};

ipcRenderer.on(electronSettings.openPipeChannel, (event) => {
	window.postMessage(electronSettings.portMessage, window.location.origin, event.ports);
});

contextBridge.exposeInMainWorld("tautline", {
	openPipe(): void {
		ipcRenderer.send(electronSettings.openPipeChannel);
	},
	makePdf(): Promise<unknown> {
		return ipcRenderer.invoke(electronSettings.makePdfChannel);
	},
});
