import { readFileSync } from "node:fs";

/** A file of outside data. */
export function readJson(name: string): unknown {
	return JSON.parse(readFileSync(new URL(`../outside/data/${name}.json`, import.meta.url), "utf8"));
}
