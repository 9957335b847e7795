/**
 * Pictures of measured tanks against where the objects really were. Sources, see `data/README.md`: Open 2D EIT data
 * archive (arXiv:1704.01178, 2017; positions read off photographs, ±0.7 cm) and Kuopio Tomography Challenge 2023 open
 * dataset (Zenodo 8252370). Limits: a plain one-step picture reaches 4.0 % and 10.6 % of the radius (16 electrodes) and
 * 5.4 % and 11.8 % (32) on other frames of the same archives, so these few must do better than 4.3, 10.5, 5.4 and 12.
 */
import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import tank16 from "./data/tank16.json" with { type: "json" };
import tank32 from "./data/tank32.json" with { type: "json" };
import { positionErrors, scoreOf } from "./tank-score.ts";

const tanks = [
	{ name: "16 electrodes", file: tank16, near: 0.05, radius: 0.14, median: 4.3, ninetieth: 10.5 },
	{ name: "32 electrodes", file: tank32, near: 0.045, radius: 0.115, median: 5.4, ninetieth: 12 },
] as const;

for (const { name, file, near, radius, median, ninetieth } of tanks) {
	test.each(["diagonal", "laplace"] as const)(`finds every public target, ${name}, %s prior`, (prior) => {
		const read = parseRecording(file);
		if (!read.ok) throw new Error(sentenceOf(read.error));
		const errors: (number | null)[] = [];
		for (const group of buildRecordingModels(read.value, { prior, rule: "noise-figure" })) {
			errors.push(...positionErrors(group, picturesOf(group, read.value), near));
		}
		const score = scoreOf(errors, radius);
		expect(score.found).toBe(score.targets);
		expect(score.medianPercent).toBeLessThan(median);
		expect(score.ninetiethPercent).toBeLessThan(ninetieth);
	});
}
