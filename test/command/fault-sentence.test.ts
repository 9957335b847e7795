import { expect, test } from "vitest";
import { faultSentence } from "../../app/command/fault-sentence.ts";
import type { Fault } from "../../app/contract.ts";
import { everyFault } from "../renderer/every-fault.ts";

/** Those that a command can meet: a page alone loses its connection. */
const one = Object.values(everyFault).filter((fault) => fault.kind !== "connection-lost");

/** The facts that a person needs to act, which the sentence must therefore name. */
function factsOf(fault: Fault): string[] {
	return Object.entries(fault).flatMap(([key, value]) =>
		// A claim chooses the words; it is not named itself.
		key === "kind" || value === null || typeof value === "boolean"
			? []
			: [key === "driftPercent" ? "3.2" : String(value)],
	);
}

test.each(one)("$kind is told in one sentence with its facts", (fault) => {
	const sentence = faultSentence(fault);
	expect(sentence).toMatch(/^.{20,}\.$/);
	for (const fact of factsOf(fault)) expect(sentence).toContain(fact);
});

test("a damaged file that was left, and a port without a group, read well too", () => {
	expect(faultSentence({ ...everyFault["store-corrupt"], keptAs: null })).toContain("left as it is");
	expect(faultSentence({ ...everyFault["port-permission"], group: null })).not.toContain("null");
});
