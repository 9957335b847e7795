/** Boards that print numbers in their own way, from a sample of lines to a picture. The log is made by the forward
 *  model; its way of writing is nobody's. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { suggestProfile } from "../../core/wire/profile/suggest-profile.ts";
import { plain } from "../wire/profile/create-profile.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createThighReadings } from "./thigh-readings.ts";

let scene: OpenBackend;
beforeEach(() => {
	scene = openBackend({ source: null });
});
afterEach(() => scene.close());

const mine = { ...plain, name: "Mine" };

describe("own profiles", () => {
	test("are kept beside those of the program, by name", async () => {
		await scene.ask("saveProfile", { profile: mine });
		await scene.ask("saveProfile", { profile: { ...mine, note: "again" } });
		await scene.ask("saveProfile", { profile: { ...mine, name: "another" } });
		const listed = await scene.ask("listProfiles", null);
		expect(listed.filter(({ isShipped }) => isShipped).length).toBe(6);
		const own = listed
			.filter(({ isShipped }) => !isShipped)
			.map(({ profile }) => [profile.name, profile.note]);
		expect(own).toEqual([
			["another", ""],
			["Mine", "again"],
		]);
		await scene.ask("deleteProfile", { profile: "Mine" });
		expect((await scene.ask("listProfiles", null)).length).toBe(7);
	});

	test("are checked before they are kept, and told where they are wrong", async () => {
		const refused = await scene.backend.request("saveProfile", { profile: { ...mine, electrodeCount: 3 } });
		expect(refused).toMatchObject({ ok: false, error: { kind: "invalid-argument", path: "electrodeCount" } });
		const [first] = await scene.ask("listProfiles", null);
		const taken = await scene.backend.request("saveProfile", { profile: first!.profile });
		expect(taken).toMatchObject({ ok: false, error: { path: "name" } });
		const unknown = await scene.backend.request("deleteProfile", { profile: "nobody's" });
		expect(unknown).toMatchObject({ ok: false, error: { path: "profile" } });
	});
});

test("a port that was not listed is not listened to", async () => {
	const path = join(scene.folder, "file");
	writeFileSync(path, "");
	for (const portId of [path, "port-1"]) {
		const reply = await scene.backend.request("captureLines", { portId, baudRate: 9600, seconds: 0.5 });
		expect(reply).toEqual({ ok: false, error: { kind: "no-such-port", path: portId } });
	}
});

test("a third board's log is guessed, played and pictured: the muscle that works is found", async () => {
	const thigh = createThighReadings("two-terminal");
	const tensed = thigh.tensed("rectus-femoris");
	// 8 s of rest, then the muscle works; ohms with three decimals and a breath of noise, 20 frames a second.
	const lines = Array.from({ length: 200 }, (_, frame) => {
		const volts = frame < 160 ? thigh.rest : tensed;
		const ohms = Array.from(volts, (volt, i) =>
			(volt / 1e-3 + 0.001 * Math.sin(12.9 * frame + 78.2 * i)).toFixed(3),
		);
		return `${(12.5 + frame / 20).toFixed(3).replace(".", ",")}; ${ohms.join("; ").replaceAll(".", ",")};`;
	});
	const log = `Messung 7 -- made up\r\nt; ${Array.from({ length: 120 }, (_, i) => `R${i + 1}`).join("; ")};\r\n${lines.join("\r\n")}\r\n`;
	const { profile } = suggestProfile(log)!;
	expect(profile).toMatchObject({
		electrodeCount: 16,
		pattern: { terminals: "two-terminal" },
		line: { separator: ";", hasDecimalComma: true },
		time: { unit: "s" },
		value: { unit: "Ω" },
	});
	await scene.ask("saveProfile", { profile: { ...profile, name: "Third board" } });
	await scene.ask("playLog", { fileName: "log.txt", text: log, profile: "Third board", framesPerSecond: 20 });
	const state = await scene.until(({ link }) => link.state === "streaming");
	expect(state.board).toMatchObject({
		board: "Third board, recorded log",
		electrodeCount: 16,
		readingCount: 120,
	});
	expect(state.source).toBeNull();
	await scene.until(({ picture }) => picture.state === "ready");
	await scene.ask("takeBaseline", { seconds: 1 });
	await scene.until(({ link }) => link.state === "stopped");
	expect(scene.backend.state().quality).toMatchObject({
		bad: expect.not.objectContaining({ "bad-field": 1 }),
	});
	const last = scene.pictures.at(-1)!;
	const { regions } = await scene.ask("getGeometry", { geometryId: last.geometryId });
	const means = regions.flatMap(({ id, trendIndex }) =>
		trendIndex === null ? [] : [[id, last.regionMeans[trendIndex]!] as const],
	);
	const largest = means.sort((a, b) => Math.abs(b[1]) - Math.abs(a[1]))[0]!;
	expect(largest[0]).toBe("rectus-femoris");
	expect(largest[1]).toBeLessThan(0);
});
