import { expect, test } from "vitest";
import { faultSentence } from "../../app/command/fault-sentence.ts";
import type { Fault } from "../../app/contract.ts";

const path = "/data/records.sqlite";
/** One of each kind; the compiler demands all of them. */
const one: { [K in Fault["kind"]]: Extract<Fault, { kind: K }> } = {
	"invalid-argument": { kind: "invalid-argument", path: "code", expected: "a code", got: "none" },
	"no-such-port": { kind: "no-such-port", path: "/dev/ttyUSB0" },
	"port-busy": { kind: "port-busy", path: "/dev/ttyUSB0" },
	"port-permission": { kind: "port-permission", path: "/dev/ttyUSB0", group: "dialout" },
	"not-a-port": { kind: "not-a-port", path: "/dev/zero" },
	"port-failed": { kind: "port-failed", path: "/dev/ttyUSB0", detail: "input/output error" },
	"not-our-protocol": { kind: "not-our-protocol", path: "/dev/ttyUSB0", bytesSeen: 4000 },
	"no-data": { kind: "no-data", path: "/dev/ttyUSB0" },
	"wrong-speed": { kind: "wrong-speed", path: "/dev/ttyUSB0", bytesSeen: 300, likelyBaudRate: 460_800 },
	"too-disturbed": { kind: "too-disturbed", path: "/dev/ttyUSB0", wholeLines: 3, badLines: 40 },
	"second-board": { kind: "second-board", path: "/dev/ttyUSB0", first: "TB-1", second: "TB-2" },
	"battery-empty": { kind: "battery-empty", percent: 1 },
	"computer-slept": { kind: "computer-slept", seconds: 1800 },
	"not-connected": { kind: "not-connected" },
	"board-refused": { kind: "board-refused", command: "start", reason: "charging" },
	"board-silent": { kind: "board-silent", command: "start" },
	"takes-no-commands": { kind: "takes-no-commands", command: "set-gain" },
	"profile-does-not-fit": { kind: "profile-does-not-fit", path: "/dev/ttyUSB0", profile: "My board" },
	"over-current-limit": {
		kind: "over-current-limit",
		reportedMilliamp: 3,
		limitMilliamp: 1,
		frequencyHertz: 50_000,
	},
	"no-baseline": { kind: "no-baseline" },
	"band-off": { kind: "band-off", electrodes: [3, 7, 9] },
	"baseline-not-steady": { kind: "baseline-not-steady", driftPercent: 7.25 },
	"cautions-not-acknowledged": { kind: "cautions-not-acknowledged" },
	"already-recording": { kind: "already-recording" },
	"not-recording": { kind: "not-recording" },
	"no-such-record": { kind: "no-such-record", what: "session", id: 4 },
	"disk-full": { kind: "disk-full", path },
	"store-read-only": { kind: "store-read-only", path },
	"store-corrupt": { kind: "store-corrupt", path, keptAs: `${path}.damaged-1` },
	"store-newer": { kind: "store-newer", path, fileVersion: 9, appVersion: 1 },
	"store-foreign": { kind: "store-foreign", path },
	"store-missing": { kind: "store-missing", path },
	"store-busy": { kind: "store-busy", path },
	"store-failed": { kind: "store-failed", path, detail: "disk I/O error" },
	"bad-recording-file": { kind: "bad-recording-file", path: "frames.1", expected: "208 voltages", got: "3" },
	"bad-person-file": { kind: "bad-person-file", path: "person.code", expected: "a code", got: "nothing" },
	"person-exists": { kind: "person-exists", code: "P-07", isSameRecord: false },
	"record-too-large": { kind: "record-too-large", megabytes: 300, limitMegabytes: 256 },
	locked: { kind: "locked" },
	"wrong-pin": { kind: "wrong-pin", waitSeconds: 30 },
	"no-person": { kind: "no-person" },
	"band-elsewhere": { kind: "band-elsewhere", personId: 7, side: "left" },
	"limb-not-measured": { kind: "limb-not-measured", personId: 7, side: "left" },
	busy: { kind: "busy", with: "exercise" },
	"records-in-use": { kind: "records-in-use", by: "recording" },
	"records-changed": { kind: "records-changed" },
	"demo-records": { kind: "demo-records" },
	"not-running": { kind: "not-running", what: "reference" },
	"exercise-over": { kind: "exercise-over", action: "stop-session" },
	"set-unanswered": { kind: "set-unanswered", setId: 12 },
	"reference-incomplete": { kind: "reference-incomplete", contraction: 2, frames: 3 },
	cancelled: { kind: "cancelled" },
	internal: { kind: "internal", detail: "x" },
};

/** The facts that a person needs to act, which the sentence must therefore name. */
function factsOf(fault: Fault): string[] {
	return Object.entries(fault).flatMap(([key, value]) =>
		// A claim chooses the words; it is not named itself.
		key === "kind" || value === null || typeof value === "boolean"
			? []
			: [key === "driftPercent" ? "7.3" : String(value)],
	);
}

test.each(Object.values(one))("$kind is told in one sentence with its facts", (fault) => {
	const sentence = faultSentence(fault);
	expect(sentence).toMatch(/^.{20,}\.$/);
	for (const fact of factsOf(fault)) expect(sentence).toContain(fact);
});

test("a damaged file that was left, and a port without a group, read well too", () => {
	expect(faultSentence({ ...one["store-corrupt"], keptAs: null })).toContain("left as it is");
	expect(faultSentence({ ...one["port-permission"], group: null })).not.toContain("null");
});
