import { describe, expect, test } from "vitest";
import type { AppState, LinkState } from "../../app/contract.ts";
import { badLineCauses } from "../../core/wire/bad-line.ts";
import type { RequestFault } from "../../renderer/bridge.ts";
import { faultWords } from "../../renderer/text/fault.ts";
import { badLineText, contactWords, linkWords } from "../../renderer/text/words.ts";

/** One of each kind; a kind that is added to the contract does not compile until it is here. */
const faults: { [K in RequestFault["kind"]]: Extract<RequestFault, { kind: K }> } = {
	"invalid-argument": { kind: "invalid-argument", path: "seconds", expected: "at most 30", got: "99" },
	"no-such-port": { kind: "no-such-port", path: "/dev/ttyUSB0" },
	"port-busy": { kind: "port-busy", path: "/dev/ttyUSB0" },
	"port-permission": { kind: "port-permission", path: "/dev/ttyUSB0", group: "dialout" },
	"port-failed": { kind: "port-failed", path: "/dev/ttyUSB0", detail: "input/output error" },
	"not-our-protocol": { kind: "not-our-protocol", path: "/dev/ttyUSB0", bytesSeen: 4096 },
	"no-data": { kind: "no-data", path: "/dev/ttyUSB0" },
	"not-connected": { kind: "not-connected" },
	"board-refused": { kind: "board-refused", command: "set-gain", reason: "out of range" },
	"board-silent": { kind: "board-silent", command: "start" },
	"over-current-limit": {
		kind: "over-current-limit",
		reportedMilliamp: 6,
		limitMilliamp: 1,
		frequencyHertz: 50000,
	},
	"no-baseline": { kind: "no-baseline" },
	"baseline-not-steady": { kind: "baseline-not-steady", driftPercent: 3.21 },
	"cautions-not-acknowledged": { kind: "cautions-not-acknowledged" },
	"already-recording": { kind: "already-recording" },
	"not-recording": { kind: "not-recording" },
	"no-such-record": { kind: "no-such-record", what: "session", id: 4 },
	"disk-full": { kind: "disk-full", path: "/data/tautline.sqlite" },
	"store-read-only": { kind: "store-read-only", path: "/data/tautline.sqlite" },
	"store-corrupt": { kind: "store-corrupt", path: "/data/tautline.sqlite", keptAs: "/data/tautline.damaged" },
	"store-newer": { kind: "store-newer", path: "/data/tautline.sqlite", fileVersion: 9, appVersion: 2 },
	"store-foreign": { kind: "store-foreign", path: "/data/other.sqlite" },
	"store-missing": { kind: "store-missing", path: "/data/tautline.sqlite" },
	"store-busy": { kind: "store-busy", path: "/data/tautline.sqlite" },
	"store-failed": { kind: "store-failed", path: "/data/tautline.sqlite", detail: "input/output error" },
	"bad-recording-file": { kind: "bad-recording-file", path: "setup", expected: "an object", got: "nothing" },
	"bad-person-file": { kind: "bad-person-file", path: "person.code", expected: "a code", got: "nothing" },
	"person-exists": { kind: "person-exists", code: "P-07", isSameRecord: true },
	"record-too-large": { kind: "record-too-large", megabytes: 300, limitMegabytes: 256 },
	locked: { kind: "locked" },
	"wrong-pin": { kind: "wrong-pin", waitSeconds: 29.5 },
	"no-person": { kind: "no-person" },
	"band-elsewhere": { kind: "band-elsewhere", personId: 7, side: "left" },
	"limb-not-measured": { kind: "limb-not-measured", personId: 7, side: null },
	busy: { kind: "busy", with: "exercise" },
	"records-in-use": { kind: "records-in-use", by: "recording" },
	"records-changed": { kind: "records-changed" },
	"demo-records": { kind: "demo-records" },
	"not-running": { kind: "not-running", what: "reference" },
	"exercise-over": { kind: "exercise-over", action: "get-help" },
	"reference-incomplete": { kind: "reference-incomplete", contraction: 2, frames: 3 },
	cancelled: { kind: "cancelled" },
	"connection-lost": { kind: "connection-lost" },
	internal: { kind: "internal", detail: "out of memory" },
};

describe("every fault", () => {
	test.each(Object.values(faults).map((fault) => [fault.kind, fault] as const))(
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
		expect(faultWords(faults["port-permission"]).next).toContain("dialout");
		expect(faultWords({ ...faults["port-permission"], group: null }).next).toContain("administrator");
		expect(faultWords(faults["store-corrupt"]).what).toContain("/data/tautline.damaged");
		const current = faultWords(faults["over-current-limit"]).what.replaceAll("\u00a0", " ");
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
