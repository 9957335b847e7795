import { afterAll, beforeAll, expect, test } from "vitest";
import type { Trends } from "../../app/contract.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { PictureFlags, type PicturePacket } from "../../core/wire/picture-packet.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";
import { createVolumeReadings, READINGS_OF_EIGHT, volumeSetUp } from "./volume-readings.ts";

let scene: OpenBackend;
let sessionId: number;
/** Of live volumes while the session was recorded. */
let live: Trends;
const isVolume = ({ flags }: PicturePacket): boolean => (flags & PictureFlags.volume) !== 0;
const pairs = 40;
let frames = 0;

beforeAll(async () => {
	scene = openBackend();
	const thigh = createVolumeReadings();
	const tense = thigh.tensed("vastus-lateralis");
	await scene.until(({ link }) => link.state === "waiting-for-board");
	const eight = { electrodeCount: 8, readingCount: createPattern(8, "adjacent").terminals.length / 4 };
	expect(eight.readingCount).toBe(READINGS_OF_EIGHT);
	await scene.ask("setUp", { personId: null, ...volumeSetUp });
	scene.source.announce(eight, { bandCount: 2 });
	scene.source.configure({ ...eight, bandIndex: 1, configuration: 2 });
	const play = (readings: readonly Float64Array[], count: number): void => {
		for (let i = 0; i < count; i++) {
			frames++;
			for (const [bandIndex, values] of readings.entries()) {
				const noisy = values.map((v, r) => v * (1 + 2e-4 * Math.sin(1e4 * Math.sin(frames * 208 + r))));
				scene.source.frame(noisy, { bandIndex, timeMicros: 5e6 + 33_333 * frames + 9000 * bandIndex });
			}
		}
	};
	play(thigh.rest, 75);
	await scene.until(({ baseline }) => baseline !== null);
	const stopWatching = scene.backend.watchVolume();
	await scene.ask("startVolume", null);
	await scene.until(({ volume }) => volume.state === "ready");
	({ sessionId } = await scene.ask("startRecording", { title: "Two bands" }));
	// One pair after another: live drops what it has no time for, and all of it is to be compared.
	for (let i = 0; i < pairs; i++) {
		const coming = scene.untilPicture((picture) => isVolume(picture) && picture.nodeValues.length > 0);
		play(i < pairs / 2 ? thigh.rest : tense, 1);
		await coming;
	}
	live = await scene.ask("getVolumeTrends", { seconds: 60 });
	await scene.ask("stopRecording", null);
	await scene.ask("stopVolume", null);
	stopWatching();
	await scene.ask("disconnect", null);
}, 60_000);

afterAll(() => scene.close());

const lateralisOf = ({ regions }: Trends): number => regions.findIndex(({ id }) => id === "vastus-lateralis");

test("the volume of a recording is the one that was live, by the same model", async () => {
	await scene.ask("openReplay", { sessionId });
	expect(scene.backend.state().volume).toEqual({ state: "off" });
	const stopWatching = scene.backend.watchVolume();
	const first = scene.untilPicture(isVolume);
	await scene.ask("startVolume", null);
	const packet = await first;
	const { volume } = await scene.until((state) => state.volume.state === "ready");
	expect(volume).toMatchObject({ wasKept: true, geometryId: packet.geometryId, isTrustworthy: true });
	const geometry = await scene.ask("getVolumeGeometry", { geometryId: packet.geometryId });
	expect(geometry.bandHeights).toEqual(volumeSetUp.places.map(({ aboveKnee }) => aboveKnee));
	expect(packet.nodeValues).toHaveLength(geometry.nodesPerLevel * geometry.levels.length);

	const end = scene.untilPicture((picture) => isVolume(picture) && picture.timeMicros > 1.2e6);
	await scene.ask("controlReplay", { playing: null, speed: null, seekSeconds: 1.3 });
	const tensed = await end;
	expect(tensed.flags).toBe(
		PictureFlags.volume | PictureFlags.replay | PictureFlags.simulated | PictureFlags.restart,
	);
	const own = lateralisOf(live);
	expect(tensed.regionMeans[own]).toBeCloseTo(live.values[own]!.at(-1)!, 3);
	expect(tensed.regionMeans[own]).toBeLessThan(-0.005);
	stopWatching();
	await scene.ask("controlReplay", { playing: null, speed: null, seekSeconds: null });
	const again = scene.untilPicture(isVolume);
	const stopAgain = scene.backend.watchVolume();
	expect((await again).timeMicros).toBe(tensed.timeMicros);
	stopAgain();

	const whole = await scene.ask("getReplayTrends", { points: 1000, of: "volumes" });
	expect(whole.regions).toEqual(live.regions);
	expect(whole.seconds).toHaveLength(pairs);
	for (const [region, values] of whole.values.entries()) {
		for (const [i, value] of values.entries())
			expect(value).toBeCloseTo(live.values[region]!.at(i - pairs)!, 6);
	}
	await scene.ask("closeReplay", null);
});

test("region means are written out with the model's name, the same as on the screen", async () => {
	const open = await scene.ask("exportSession", { sessionId, format: "volume-json" });
	let text = "";
	const shares: number[] = [];
	for (;;) {
		const piece = await scene.ask("readExport", { exportId: open.exportId });
		text += piece.text;
		shares.push(piece.share);
		if (piece.isLast) break;
	}
	expect(shares).toEqual([...shares].sort((a, b) => a - b));
	const document = JSON.parse(text) as {
		model: { sha256: string };
		places: unknown;
		rows: { seconds: number; regionMeans: number[] }[];
	};
	expect(document.model.sha256).toMatch(/^[0-9a-f]{64}$/);
	expect(document.places).toEqual(volumeSetUp.places);
	const own = lateralisOf(live);
	expect(document.rows).toHaveLength(pairs);
	expect(document.rows.at(-1)!.regionMeans[own]).toBeCloseTo(live.values[own]!.at(-1)!, 6);
});
