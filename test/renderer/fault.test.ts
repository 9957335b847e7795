import { describe, expect, test } from "vitest";
import type { AppState, LinkState } from "../../app/contract.ts";
import { badLineCauses } from "../../core/wire/bad-line.ts";
import { lostBandText } from "../../renderer/text/contact-advice.ts";
import { faultWords } from "../../renderer/text/fault.ts";
import { badLineText, contactWords, linkWords } from "../../renderer/text/words.ts";
import { everyFault } from "./every-fault.ts";

describe("every fault", () => {
	test.each(Object.values(everyFault).map((fault) => [fault.kind, fault] as const))(
		"%s has one sentence on what happened and one on what to do",
		(_, fault) => {
			const { what, next } = faultWords(fault);
			for (const text of [what, next]) {
				expect(text).toMatch(/^[A-Z/].*\.$/);
				expect(text).not.toMatch(/undefined|null|NaN|\.\.$/);
			}
		},
	);

	test("names the facts it carries", () => {
		expect(faultWords(everyFault["port-permission"]).next).toContain("dialout");
		expect(faultWords({ ...everyFault["port-permission"], group: null }).next).toContain("administrator");
		expect(faultWords(everyFault["store-corrupt"]).what).toContain("/data/tautline.damaged");
		const current = faultWords(everyFault["over-current-limit"]).what.replaceAll("\u00a0", " ");
		expect(current).toContain("6.00 mA at 50 kHz");
		expect(current).toContain("1.00 mA");
	});
});

test.each<[LinkState, string]>([
	[{ state: "idle" }, "Not connected"],
	[{ state: "opening", label: "A" }, "Opening A"],
	[{ state: "waiting-for-board", label: "A" }, "Waiting for the board on A"],
	[{ state: "streaming", label: "A" }, "Streaming from A"],
	[{ state: "stopped", label: "A" }, "Connected to A, stream stopped"],
	[
		{ state: "reconnecting", label: "A", attempt: 2, fault: { kind: "not-connected" } },
		"Lost A, reconnecting (attempt 2)",
	],
	[{ state: "failed", label: "A", fault: { kind: "not-connected" } }, "A failed"],
])("the link is told in words: $state", (link, text) => {
	expect(linkWords(link)).toBe(text);
});

test("who exercises is told why the band is gone, where that is known", () => {
	expect(lostBandText(everyFault["battery-empty"], "usual")).toContain("charge it");
	expect(lostBandText(everyFault["second-board"], "usual")).toContain("Switch off");
	expect(lostBandText(everyFault["no-data"], "usual")).toBe("usual");
});

test("every cause of a bad line has words", () => {
	for (const cause of badLineCauses) expect(badLineText(cause)).not.toBe(cause);
});

test.each<[readonly string[], string]>([
	[[], "Contact not reported by this board"],
	[["unknown", "unknown"], "Contact not reported by this board"],
	[["good", "good"], "Contact good at all 2 electrodes"],
	[
		["good", "poor", "off", "fair", "poor"],
		"Electrodes off the skin: 3; poor contact: 2, 5; fair contact: 4",
	],
])("contacts are told in words: %j", (verdicts, text) => {
	const contacts = verdicts.map((verdict) => ({ ohm: null, verdict })) as AppState["contacts"];
	expect(contactWords(contacts)).toBe(text);
});
