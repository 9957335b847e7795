import { readFileSync } from "node:fs";
import { type Case, parseCase } from "../../core/physics/case.ts";

/** A case that must be readable, with the voltages that its file states (V; empty where it states none). */
export function readCase(input: unknown): Case & { readonly voltages: Float64Array } {
	const read = parseCase(input);
	if (!read.ok) throw new Error(JSON.stringify(read.error));
	const { voltages } = input as { voltages?: number[] };
	return { ...read.value, voltages: Float64Array.from(voltages ?? []) };
}

export function readReferenceCase(name: string) {
	const text = readFileSync(new URL(`data/${name}.json`, import.meta.url), "utf8");
	return readCase(JSON.parse(text));
}

/** ‖a − b‖ / ‖b‖ over all readings. */
export function relativeError(a: Float64Array, b: Float64Array): number {
	if (a.length !== b.length) throw new RangeError(`${a.length} readings against ${b.length}`);
	let difference = 0;
	let size = 0;
	for (let i = 0; i < b.length; i++) {
		difference += (a[i]! - b[i]!) ** 2;
		size += b[i]! ** 2;
	}
	return Math.sqrt(difference / size);
}
