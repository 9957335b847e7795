import type { ExportedFile } from "../../app/contract.ts";

/** Hands a file to the browser's downloads. */
export function download(file: ExportedFile): void {
	const url = URL.createObjectURL(new Blob([file.text], { type: file.mediaType }));
	const link = document.createElement("a");
	link.href = url;
	link.download = file.fileName;
	link.click();
	// The browser has taken the address by the time it handles its next task.
	setTimeout(() => URL.revokeObjectURL(url), 0);
}
