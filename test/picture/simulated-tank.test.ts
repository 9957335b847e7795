import { expect, test } from "vitest";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import { scoreRecording } from "../outside/tank-score.ts";
import { simulateTank } from "./simulated-tank.ts";

// Made by our own forward solution on another mesh, so no outside truth; `test/outside/tank.test.ts` has that. A wider
// study of the same kind: `node test/picture/study-tanks.ts`.
test("finds bodies in simulated tanks, several at once, where they are", () => {
	const recording = simulateTank({ electrodeCount: 16, frames: 24, seed: 5 });
	const [group] = buildRecordingModels(recording, { prior: "diagonal", rule: "noise-figure" });
	const score = scoreRecording(group!, picturesOf(group!, recording), 0.05, 0.14);
	expect(score.targets).toBeGreaterThan(40);
	expect(score.found / score.targets).toBeGreaterThan(0.95);
	expect(score.medianPercent).toBeLessThan(4);
	expect(score.ninetiethPercent).toBeLessThan(10);
});
