import type { ExportedFile } from "../../app/contract.ts";

/** Hands a file to the browser's downloads. */
export function download(file: ExportedFile): void {
	downloadBlob(new Blob([file.text], { type: file.mediaType }), file.fileName);
}

export function downloadBlob(blob: Blob, fileName: string): void {
	const url = URL.createObjectURL(blob);
	const link = document.createElement("a");
	link.href = url;
	link.download = fileName;
	link.click();
	// The browser has taken the address by the time it handles its next task.
	setTimeout(() => URL.revokeObjectURL(url), 0);
}
