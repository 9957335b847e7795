/** Two simulated bands that drive across, from the board's bytes to a volume's region means. */
import { expect, test } from "vitest";
import { SimulatedBoard } from "../../app/link/simulated/board.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createAskedEffort } from "../../app/link/simulated/follower.ts";
import { inventedWearer } from "../../app/link/simulated/invented-person.ts";
import { LimbUnderBands } from "../../app/link/simulated/limb-under-bands.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import { placesOf } from "../../app/session/band-places.ts";
import { fitToModel, restInOhm } from "../../app/session/fit-to-model.ts";
import { createJoinedFrames, type JoinedFrames } from "../../app/session/joined-frames.ts";
import { joinedTerminals } from "../../app/session/joined-terminals.ts";
import { createLiveBand, type LiveBand, setRest } from "../../app/session/live-band.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { createBaselineCollector } from "../../core/signal/baseline.ts";
import { buildVolumeModel } from "../../core/volume/volume-model.ts";
import { limbVolume } from "../../core/volume/volume-subject.ts";
import { BoardParser, type BoardRecords } from "../../core/wire/board-parser.ts";
import type { Frame } from "../../core/wire/frame.ts";

const encoder = new TextEncoder();
const decoder = new TextDecoder();
const ELECTRODES = 12;
const REST_FRAMES = 40;

test("a volume of two bands that read across shows a working muscle's true change", () => {
	const asked = createAskedEffort();
	const options: SimulatedBoardOptions = {
		seed: 1,
		framesPerSecond: 20,
		bandCount: 2,
		electrodeCount: ELECTRODES,
		scenario: "follow-coach",
		across: true,
		asked,
		corruptShare: 0,
		dropShare: 0,
		streamsAtOnce: true,
	};
	const bands = new Map<number, LiveBand>();
	const truths = new Map<number, FrameTruth>();
	let onFrame: (frame: Frame) => void = () => {};
	const ignore = () => {};
	const parser = new BoardParser({
		onHello: ignore,
		onOtherVersion: ignore,
		onAbility: ignore,
		onConfiguration(configuration) {
			const band = createLiveBand(configuration, null);
			if (!band.ok) throw new Error(band.error.kind);
			bands.set(configuration.bandIndex, band.value);
		},
		onFrame: (frame) => onFrame(frame),
		onStatus: ignore,
		onContacts: ignore,
		onReply: ignore,
		onRestart: ignore,
	} satisfies BoardRecords);
	const limbs = new LimbUnderBands({ seed: 1, bandCount: 2, electrodeCount: ELECTRODES, cells: 9000 }).bands;
	const board = new SimulatedBoard(options, limbs, {
		line(bytes) {
			for (const line of decoder.decode(bytes).trimEnd().split("\n")) parser.parse(encoder.encode(line));
			return true;
		},
		truth: (truth) => truths.set(truth.bandIndex, truth),
	});

	// rest
	board.advanceTo(0);
	expect([...bands.values()].map(({ pattern }) => pattern.terminals.length / 4)).toEqual([312, 252]);
	const collectors = [...bands.values()].map(({ pattern }) =>
		createBaselineCollector(pattern.terminals.length / 4, REST_FRAMES),
	);
	onFrame = ({ bandIndex, values }) => collectors[bandIndex]!.add(values);
	board.advanceTo(REST_FRAMES / 20);
	for (const [index, band] of bands) {
		const rest = collectors[index]!.finish();
		if (!rest.ok) throw new Error(rest.error.kind);
		const { configuration } = band;
		setRest(band, {
			rest: rest.value,
			configuration,
			takenAt: 0,
			seconds: 2,
			automatic: true,
			followedFrom: null,
		});
	}
	const atRest = truths.get(0)!.change;

	// the volume as the app asks for it, on a coarser mesh
	const { limb, band } = inventedWearer(ELECTRODES);
	const places = placesOf(limb, 2, undefined, true)!;
	const live = [...bands.values()];
	const terminals = joinedTerminals(
		live.map(({ bandIndex, pattern }) => ({ bandIndex, terminals: pattern.terminals })),
		ELECTRODES,
	);
	const model = buildVolumeModel({
		subject: limbVolume(
			createThigh(limb),
			places.map(({ aboveKnee, circumference }) => ({ z: aboveKnee, circumference })),
			places.map(({ aboveKnee }) => ({ band: bandOf(band), z: aboveKnee, electrodeHeight: 0.03 })),
			50_000,
		),
		pattern: { name: "", electrodeCount: 2 * ELECTRODES, terminals },
		ohmPerUnit: 1,
		noise: null,
		rule: "noise-figure",
		targetCells: 8000,
	})!;
	const fit = fitToModel(live.map(restInOhm), model.modelRest);
	if (typeof fit === "number") throw new Error(`band ${fit} does not fit`);
	const kernel = createPictureKernel(model);
	kernel.setBaseline(fit.rest);

	// work
	asked.share[0] = 1;
	const joined: JoinedFrames = createJoinedFrames(live);
	onFrame = (frame) => joined.add(frame);
	board.advanceTo(5);
	kernel.apply(joined.values.map((value, r) => value * fit.scale[r]!));
	expect(parser.counters.frames).toBe(200);

	const change = truths.get(0)!.change;
	for (const [i, { id }] of model.trendRegions.entries()) {
		const muscle = id as keyof typeof change;
		const truth = change[muscle] - atRest[muscle];
		const shown = kernel.regionMeans[i]!;
		// within a fifth of the truth, or of the largest change where a muscle rests
		expect(Math.abs(shown - truth), `${id}: ${shown} for ${truth} S/m`).toBeLessThan(
			Math.max(0.2 * truth, 0.007),
		);
	}
	expect(change["vastus-lateralis"] - atRest["vastus-lateralis"]).toBeGreaterThan(0.025);
});
