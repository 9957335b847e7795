/** A measured tank, see `test/outside/data/README.md`, in some of whose frames electrodes are spoiled. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { sentenceOf } from "../../core/invalid-input.ts";
import type { PictureModel } from "../../core/picture/picture-model.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };
import { createRandom } from "../picture/plain-algebra.ts";
import { type OpenBackend, openBackend } from "./open-backend.ts";

/** From 0. */
const SPOILED = [4, 5];
/** The first ones, of so many. */
const SPOILED_FRAMES = 2;
const FRAMES = 4;

let scene: OpenBackend;

beforeAll(() => {
	scene = openBackend();
});

afterAll(() => scene.close());

function createFile() {
	const random = createRandom(7);
	const { terminals } = createPattern(16, "adjacent");
	const frames = Object.entries(tank16.frames).slice(0, FRAMES);
	return {
		...tank16,
		setup: {
			...tank16.setup,
			regions: [
				{ name: "upper half", type: "circle", center: [0, 0.05], radius: 0.04, sigma: 0.03 },
				{ name: "lower half", type: "circle", center: [0, -0.05], radius: 0.04, sigma: 0.03 },
			],
		},
		frames: Object.fromEntries(
			frames.map(([id, frame], i) => {
				const lost = i < SPOILED_FRAMES ? SPOILED : [];
				const voltages = frame.voltages.map((value, r) =>
					terminals.subarray(4 * r, 4 * r + 4).some((electrode) => lost.includes(electrode))
						? 0.5 * random()
						: value,
				);
				return [id, { ...frame, voltages }];
			}),
		),
	};
}

test("a file with failing electrodes is shown without them, as the command line pictures it", async () => {
	const file = createFile();
	const recording = parseRecording(file);
	if (!recording.ok) throw new Error(sentenceOf(recording.error));
	const groups = buildRecordingModels(recording.value, { prior: "diagonal", rule: "noise-figure" });
	const byCommand = new Map(
		groups.flatMap((group) =>
			Array.from(picturesOf(group, recording.value), (made) => [made.id, { ...made, ...group }] as const),
		),
	);

	const text = JSON.stringify(file);
	const { sessionId } = await scene.ask("importRecording", { fileName: "tank.json", text });
	await scene.ask("openReplay", { sessionId });
	let model: PictureModel | null = null;
	let geometryId = 0;
	for (const [i, id] of Object.keys(file.frames).entries()) {
		const command = byCommand.get(id)!;
		// frames without other electrodes have a model of their own; until it is ready that of the frame before serves
		const isOther = command.model !== model;
		model = command.model;
		const coming = scene.untilPicture(
			(picture) => picture.timeMicros === i * 1e6 && (!isOther || picture.geometryId > geometryId),
		);
		await scene.ask("controlReplay", { playing: null, speed: null, seekSeconds: i });
		const { regionMeans, ...picture } = await coming;
		({ geometryId } = picture);
		const { replay } = scene.backend.state();
		const lost = i < SPOILED_FRAMES ? SPOILED : [];
		expect(command.leftOut, id).toEqual(lost);
		expect(replay?.leftOut?.electrodes ?? [], id).toEqual(
			lost.map((electrode) => ({ number: electrode + 1, sign: "reciprocity", isSinceRest: false })),
		);
		expect(replay?.leftOut?.isTrustworthy ?? true).toBe(true);
		const largest = Math.max(...command.regionMeans.map(Math.abs));
		for (const [region, mean] of command.regionMeans.entries()) {
			expect(Math.abs(regionMeans[region]! - mean), id).toBeLessThan(1e-4 * largest);
		}
	}
	const { replay } = scene.backend.state();
	expect(replay?.trendMarks).toEqual({
		leftOut: [{ from: 0, rightFrom: 0, to: SPOILED_FRAMES, electrodes: [5, 6], isTrustworthy: true }],
		// these frames have one rest
		rests: [],
		followed: [],
	});
	expect(replay?.marks.filter(({ label }) => label.startsWith("Electrode"))).toEqual([
		{ seconds: 0, label: "Electrodes 5, 6 are left out" },
		{ seconds: SPOILED_FRAMES, label: "Electrodes 5, 6 count again" },
	]);
});
