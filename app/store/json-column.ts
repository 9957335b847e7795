import type { z } from "zod";
import { DamagedRecordError } from "./store-fault.ts";

/** @throws DamagedRecordError, as the one below, when the text is not JSON. `what` names the row. */
export function jsonOf(text: string, what: string): unknown {
	try {
		return JSON.parse(text);
	} catch (error) {
		throw new DamagedRecordError(`${what}: ${(error as Error).message}`);
	}
}

/** @throws DamagedRecordError also when the value is not what the column promises. */
export function jsonAs<T>(schema: z.ZodType<T>, text: string, what: string): T {
	const value = schema.safeParse(jsonOf(text, what));
	if (!value.success) throw new DamagedRecordError(`${what}: ${value.error.message}`);
	return value.data;
}
