import { failure, type Result } from "../../core/result.ts";
import type { Fault, Person } from "../contract.ts";
import type { Store } from "../store/store.ts";

/** Nothing is measured on a real person to whom the present cautions were not told. @returns null where they were, or
 *  where nobody is named */
export function refuseUntold(store: Store, person: Person | null): Result<never, Fault> | null {
	if (person === null) return null;
	const record = store.person(person.id);
	if (!record.ok) return record;
	return record.value.cautionsAcknowledgedAt === null ? failure({ kind: "cautions-not-acknowledged" }) : null;
}
