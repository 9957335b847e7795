/** Electrodes fail in the middle of a set: what is wrong until that is found counts for nothing. */
import { afterAll, beforeAll, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import {
	type CoachedScene,
	createRepetitions,
	followReference,
	isReferenceOver,
	openCoachedScene,
} from "./coached-scene.ts";
import { createThighReadings } from "./thigh-readings.ts";

const atQuestions = ({ exercise }: AppState): boolean => exercise?.view.phase === "ask";

let scene: CoachedScene;

beforeAll(async () => {
	scene = await openCoachedScene(createThighReadings());
	await scene.ask("startReference", {
		target: "quadriceps",
		effort: "comfortable",
		contractions: 2,
		pauseSeconds: 6,
	});
	await scene.work(followReference, isReferenceOver);
	await scene.ask("stopReference", null);
});

afterAll(() => scene.close());

/** Three repetitions of 0.8 of the reference. @param faultAt in fifths of a second since the work began; null for none */
async function doSet(faultAt: number | null, electrodes: readonly number[] = []) {
	scene.lift([]);
	await scene.work(
		() => 0,
		({ leftOut }) => leftOut === null,
	);
	await scene.ask("startExercise", {
		personId: scene.person.id,
		planVersion: 1,
		itemIndex: 0,
		painBefore: 1,
	});
	const efforts = createRepetitions([0.8, 0.8, 0.8]);
	let step = 0;
	let faultFrom = Number.NaN;
	await scene.work((state) => {
		if (state.exercise?.view.phase === "work" && step++ === faultAt) {
			scene.lift(electrodes);
			faultFrom = scene.pictures.at(-1)!.timeMicros / 1e6 + 1 / 30;
		}
		return efforts(state);
	}, atQuestions);
	const { exercise, trendMarks } = scene.backend.state();
	await scene.ask("answerSet", { pain: 1, effort: 3, symptoms: [] });
	await scene.ask("leaveExercise", null);
	const sessionId = exercise!.sessionId!;
	const [stored] = await scene.ask("listSets", { sessionId });
	const picture = await scene.ask("getAveragePicture", { sessionId, setId: stored!.id });
	return { set: exercise!.results[0]!, picture, marked: trendMarks.leftOut.at(-1), faultFrom };
}

// repetitions take 14 fifths of a second each, of which the person pushes for six
// electrode 1 would be counted for a repetition at rest, electrode 4 raise the peak by a third, if they counted
test.each([
	["a repetition", 14 + 3, 6],
	["the rest between two", 14 + 10, 0],
])("in the middle of %s", async (_, faultAt, wrongFrames) => {
	const good = await doSet(null);
	for (const electrodes of [[1], [4], [1, 4]]) {
		const { set, picture, marked, faultFrom } = await doSet(faultAt, electrodes);
		expect(set.count.automatic).toEqual({ full: 3, partial: 0 });
		for (const [i, { peak, onset, offset }] of set.repetitions.entries()) {
			const same = good.set.repetitions[i]!;
			expect(Math.abs(peak / same.peak - 1)).toBeLessThan(0.01);
			expect(Math.abs(offset - onset - (same.offset - same.onset))).toBeLessThan(0.1);
		}
		// as many frames as it takes to find a fault, give or take one at the edge of a hold
		expect(Math.abs(good.picture.frames - picture.frames - wrongFrames)).toBeLessThanOrEqual(1);
		expect(marked).toMatchObject({ electrodes, to: null });
		expect(Math.abs(marked!.from - faultFrom)).toBeLessThan(0.01);
	}
});
