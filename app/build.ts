/** `npm run build`: bundles the screens (dist/renderer) and the desktop app (dist/electron). `npm start` calls the
 *  same functions when something is missing or older than its sources. */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { builtinModules } from "node:module";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const projectFolder = fileURLToPath(new URL("..", import.meta.url));
export const rendererFolder = join(projectFolder, "dist", "renderer");
export const electronFolder = join(projectFolder, "dist", "electron");

/** Builds the screens when their sources changed since the last build. @returns false when there was nothing to do. */
export function buildRenderer(say: (line: string) => void): Promise<boolean> {
	return buildWhenStale(
		rendererFolder,
		["renderer", "core", "app/contract.ts", "package-lock.json"],
		async (outDir) => {
			say("Building the screens …");
			const { build } = await import("vite");
			await build({
				configFile: join(projectFolder, "renderer", "vite.config.ts"),
				root: join(projectFolder, "renderer"),
				logLevel: "warn",
				build: { outDir, emptyOutDir: true },
			});
		},
	);
}

/** Bundles the desktop app's main process, its worker and its preload script. Native modules stay outside. */
export function buildElectron(say: (line: string) => void): Promise<boolean> {
	return buildWhenStale(
		electronFolder,
		["app", "core", "migrations", "package-lock.json"],
		async (outDir) => {
			say("Building the desktop app …");
			const { build } = await import("vite");
			const common = { configFile: false, root: projectFolder, logLevel: "warn", publicDir: false } as const;
			const external = ["electron", "better-sqlite3", "serialport", ...builtinModules, /^node:/];
			await build({
				...common,
				ssr: { noExternal: true, external: ["electron", "better-sqlite3", "serialport"] },
				build: {
					outDir,
					emptyOutDir: true,
					ssr: true,
					target: "node24",
					rolldownOptions: {
						external,
						input: {
							main: join(projectFolder, "app/hosts/electron/main.ts"),
							"picture-worker": join(projectFolder, "app/pipeline/picture-worker.ts"),
							"model-worker": join(projectFolder, "app/pipeline/model-worker.ts"),
							"volume-worker": join(projectFolder, "app/pipeline/volume-worker.ts"),
							"demo-worker": join(projectFolder, "app/session/demo/demo-worker.ts"),
							"board-worker": join(projectFolder, "app/link/simulated/board-worker.ts"),
						},
						output: { format: "es", entryFileNames: "[name].js", chunkFileNames: "[name]-[hash].js" },
					},
				},
			});
			// A sandboxed preload script is one CommonJS file that may import nothing but `electron`.
			await build({
				...common,
				ssr: { noExternal: true, external: ["electron"] },
				build: {
					outDir,
					emptyOutDir: false,
					ssr: true,
					target: "node24",
					rolldownOptions: {
						external,
						input: { preload: join(projectFolder, "app/hosts/electron/preload.ts") },
						output: { format: "cjs", entryFileNames: "[name].cjs" },
					},
				},
			});
		},
	);
}

/** Two starts at once must not see each other's half-made files: each builds aside, then the folder is swapped. */
async function buildWhenStale(
	folder: string,
	sources: readonly string[],
	build: (outDir: string) => Promise<void>,
): Promise<boolean> {
	const stampFile = `${folder}.stamp`;
	const stamp = hashOf(sources);
	if (existsSync(folder) && existsSync(stampFile) && readFileSync(stampFile, "utf8") === stamp) return false;
	const aside = `${folder}.${process.pid}`;
	mkdirSync(join(projectFolder, "dist"), { recursive: true });
	try {
		await build(aside);
		swap(aside, folder);
		writeFileSync(stampFile, stamp);
	} finally {
		rmSync(aside, { recursive: true, force: true });
	}
	return true;
}

/** Where another start swapped at the same moment, its build of the same sources stands. */
function swap(aside: string, folder: string): void {
	const old = `${aside}.old`;
	try {
		if (existsSync(folder)) renameSync(folder, old);
		renameSync(aside, folder);
	} catch (error) {
		if (!existsSync(folder)) throw error;
	} finally {
		rmSync(old, { recursive: true, force: true });
	}
}

/** By content, for a fresh clone has fresh times. */
function hashOf(sources: readonly string[]): string {
	const hash = createHash("sha256");
	for (const source of sources) {
		for (const path of filesOf(join(projectFolder, source)))
			hash.update(path).update("\0").update(readFileSync(path));
	}
	return hash.digest("hex");
}

function filesOf(path: string): string[] {
	if (/\.\w+$/.test(path)) return [path];
	return readdirSync(path, { recursive: true, withFileTypes: true })
		.filter((entry) => entry.isFile())
		.map((entry) => join(entry.parentPath, entry.name))
		.sort();
}

if (import.meta.main) {
	const say = (line: string): void => {
		process.stderr.write(`${line}\n`);
	};
	const built = [await buildRenderer(say), await buildElectron(say)];
	say(built.includes(true) ? "Built into dist/." : "dist/ is up to date.");
}
