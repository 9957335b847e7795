/** The built renderer as a closed list of files, read once at start: a request can only name what is on it, and a build
 *  that replaces the files meanwhile disturbs nobody. */
import { type Dirent, readdirSync, readFileSync } from "node:fs";
import { extname, join, relative, sep } from "node:path";

export interface StaticFile {
	readonly contentType: string;
	readonly bytes: Buffer;
}

const contentTypes: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8",
	".svg": "image/svg+xml",
	".png": "image/png",
	".ico": "image/x-icon",
	".woff2": "font/woff2",
	".wasm": "application/wasm",
	".json": "application/json",
};

/** @returns URL path → file, `/` being `index.html`; kinds of file that a page never asks for (source maps) are left
 *  out. @throws when the folder cannot be read: the renderer is built before a host starts. */
export function listStaticFiles(folder: string): ReadonlyMap<string, StaticFile> {
	const files = new Map<string, StaticFile>();
	for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
		const contentType = contentTypes[extname(entry.name)];
		if (!entry.isFile() || contentType === undefined) continue;
		const path = pathOf(entry);
		files.set(`/${relative(folder, path).split(sep).join("/")}`, { contentType, bytes: readFileSync(path) });
	}
	const index = files.get("/index.html");
	if (index !== undefined) files.set("/", index);
	return files;
}

function pathOf(entry: Dirent): string {
	return join(entry.parentPath, entry.name);
}
