/** Which band was connected last, so that a start, and above all a start at home, looks for it by itself. */
import { z } from "zod";
import { type Result, success } from "../../core/result.ts";
import type { Fault, SourceChoice } from "../contract.ts";
import type { Store } from "../store/store.ts";
import type { Sources } from "./sources.ts";

const setting = "last-band";

/** Ports by path: their ids last as long as the program runs. */
const lastBand = z
	.discriminatedUnion("kind", [
		z.object({ kind: z.literal("serial"), path: z.string(), baudRate: z.number() }),
		z.object({ kind: z.literal("profile"), path: z.string(), baudRate: z.number(), profile: z.string() }),
	])
	.nullable();

export function rememberBand(store: Store, sources: Sources, choice: SourceChoice): Result<null, Fault> {
	if (choice.kind === "simulated") return store.saveSetting(setting, null);
	const { portId, ...rest } = choice;
	const path = sources.pathOf(portId);
	return path === null ? success(null) : store.saveSetting(setting, { ...rest, path });
}

/** Null when it was a simulated one, or none. */
export function recallBand(store: Store, sources: Sources): SourceChoice | null {
	const saved = store.setting(setting);
	// A setting that is not there, or that no program of ours wrote, is no band.
	const read = lastBand.safeParse(saved.ok ? (saved.value ?? null) : null);
	if (!read.success || read.data === null) return null;
	const { path, ...rest } = read.data;
	return { ...rest, portId: sources.portIdOf(path) };
}
