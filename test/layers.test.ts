/** The layers are a rule only while a machine checks them: core ← app, core ← renderer, and app and renderer meet
 *  in app/contract.ts alone. */
import { globSync, readFileSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { expect, test } from "vitest";

const root = join(import.meta.dirname, "..");
const files = ["core", "app", "renderer"].flatMap((folder) =>
	globSync(`${folder}/**/*.{ts,tsx}`, { cwd: root }).map((path) => path.replaceAll("\\", "/")),
);

/** Every module that a file imports or re-exports, statically or on demand. */
function importsOf(path: string): string[] {
	const source = readFileSync(join(root, path), "utf8");
	const pattern = /(?:\bfrom\s+|\bimport\s*\(\s*|\bimport\s+|new URL\(\s*)["']([^"'\n]+)["']/g;
	return [...source.matchAll(pattern)].map((match) => match[1]!);
}

function target(path: string, specifier: string): string {
	return specifier.startsWith(".")
		? normalize(join(dirname(path), specifier)).replaceAll("\\", "/")
		: specifier;
}

const arrows = files.flatMap((path) =>
	importsOf(path).map((specifier) => ({ path, to: target(path, specifier) })),
);

/** Packages that only one folder may touch. */
const owners: Record<string, string> = {
	electron: "app/hosts/electron/",
	serialport: "app/link/",
	"@serialport/parser-readline": "app/link/",
	"better-sqlite3": "app/store/",
	preact: "renderer/",
	uplot: "renderer/",
};

test("there are files to check", () => {
	expect(files.length).toBeGreaterThan(20);
	expect(arrows.length).toBeGreaterThan(20);
});

test("core imports nothing but core and pure packages", () => {
	const breaches = arrows.filter(
		({ path, to }) =>
			path.startsWith("core/") &&
			!to.startsWith("core/") &&
			to !== "zod" &&
			to !== "robust-predicates" &&
			!isBuildScript(path),
	);
	expect(breaches).toEqual([]);
});

test("app never imports the renderer", () => {
	expect(arrows.filter(({ path, to }) => path.startsWith("app/") && to.startsWith("renderer/"))).toEqual([]);
});

test("the renderer reaches app only through the contract", () => {
	const breaches = arrows.filter(
		({ path, to }) =>
			path.startsWith("renderer/") &&
			((to.startsWith("app/") && to !== "app/contract.ts") || to.startsWith("node:")),
	);
	expect(breaches.filter(({ path }) => !path.endsWith(".config.ts"))).toEqual([]);
});

test.each(Object.entries(owners))("only %s's folder imports it", (name, folder) => {
	const breaches = arrows.filter(
		({ path, to }) =>
			(to === name || to.startsWith(`${name}/`)) && !path.startsWith(folder) && !path.endsWith(".config.ts"),
	);
	expect(breaches).toEqual([]);
});

test("no file imports itself in a circle at run time", () => {
	const graph = new Map<string, string[]>();
	for (const path of files) {
		const source = readFileSync(join(root, path), "utf8");
		const atRunTime = [
			...source.matchAll(/^\s*(?:import|export)\s+(?!type\b)[^;"']*?from\s+["'](\.[^"']+)["']/gm),
		].map((m) => target(path, m[1]!));
		graph.set(path, atRunTime);
	}
	const done = new Set<string>();
	const circles: string[] = [];
	const visit = (path: string, trail: string[]): void => {
		if (trail.includes(path)) {
			circles.push([...trail.slice(trail.indexOf(path)), path].join(" → "));
			return;
		}
		if (done.has(path)) return;
		for (const next of graph.get(path) ?? []) visit(next, [...trail, path]);
		done.add(path);
	};
	for (const path of files) visit(path, []);
	expect(circles).toEqual([]);
});

/** Scripts that make a file of core (run by a developer, never imported by the app) may read and write files. */
function isBuildScript(path: string): boolean {
	return relative("core", path).includes("build");
}
