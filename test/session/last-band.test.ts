/** A start looks for the band that was connected last. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import type { AppState, SourceChoice } from "../../app/contract.ts";
import { firstSource } from "../../app/session/backend.ts";
import type { Sources } from "../../app/session/sources.ts";
import { failure, success } from "../../core/result.ts";
import { createMemorySource } from "./memory-source.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

let folder: string;
beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-last-band-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const simulated: SourceChoice = { ...firstSource, electrodeCount: 16 };

/** Starts as the app does, with nothing said of a band. Port ids are of one start only, as they are. */
function start(startNumber: number, isThere: (path: string) => boolean = () => true) {
	const sought: unknown[] = [];
	const pathOf = (portId: string) => (portId.startsWith(`${startNumber}:`) ? portId.slice(2) : null);
	const never = () => Promise.reject(new Error("nobody asks for it here"));
	const sources: Sources = {
		asked: { share: new Float64Array(1) },
		listPorts: () => Promise.resolve(success({ ports: [], note: null })),
		playing: () => createMemorySource(Date.now).factory,
		capture: never,
		pathOf,
		portIdOf: (path) => `${startNumber}:${path}`,
		find(choice) {
			const path = choice.kind === "simulated" ? null : pathOf(choice.portId);
			sought.push(path ?? choice.kind);
			if (path !== null && !isThere(path)) return failure({ kind: "no-such-port", path });
			return success(createMemorySource(Date.now).factory);
		},
	};
	const scene: OpenBackend = openBackend({ dataFolder: folder, source: undefined as never, sources });
	return { scene, sought };
}

test("the simulated one at first, then the real one that was connected last", async () => {
	const first = start(1);
	expect(first.sought).toEqual(["simulated"]);
	await first.scene.ask("acknowledgeCautions", { version: first.scene.backend.state().cautions.version });
	await first.scene.ask("connect", { kind: "serial", portId: "1:/dev/a", baudRate: 460_800 });
	await first.scene.close();

	const second = start(2);
	expect(second.sought).toEqual(["/dev/a"]);
	const isSought = ({ source }: AppState) => source !== null;
	expect((await second.scene.until(isSought)).source).toEqual({
		kind: "serial",
		portId: "2:/dev/a",
		baudRate: 460_800,
	});
	const choice: SourceChoice = { kind: "profile", portId: "2:/dev/b", baudRate: 115_200, profile: "Mine" };
	await second.scene.ask("connect", choice);
	await second.scene.close();

	// One that could not be reached does not take its place.
	const third = start(3, (path) => path !== "/dev/c");
	expect((await third.scene.until(isSought)).source).toEqual({ ...choice, portId: "3:/dev/b" });
	await third.scene.backend.request("connect", { kind: "serial", portId: "3:/dev/c", baudRate: 9600 });
	await third.scene.close();

	const fourth = start(4);
	expect(fourth.sought).toEqual(["/dev/b"]);
	await fourth.scene.ask("connect", simulated);
	await fourth.scene.close();

	const fifth = start(5);
	expect(fifth.sought).toEqual(["simulated"]);
	await fifth.scene.close();
});
