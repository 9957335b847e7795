/**
 * Measured tanks with electrodes taken away. Source: Open 2D EIT data archive, arXiv:1704.01178 (2017), see
 * `data/README.md`. Limit: with any 2 of 16 electrodes lost a single target's position error may grow by 10 % of the
 * radius (a requirement of this project; no source).
 */
import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseRecording, type Recording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import tank16 from "./data/tank16.json" with { type: "json" };
import { positionErrors } from "./tank-score.ts";

const NEAR = 0.05;
const RADIUS = 0.14;

function withoutElectrodes(recording: Recording, lost: readonly number[]): Recording {
	const { terminals } = recording.setup.pattern;
	const isLost = (r: number) =>
		lost.some((electrode) => terminals.subarray(4 * r, 4 * r + 4).includes(electrode));
	const frames = recording.frames.map((frame) => ({
		...frame,
		voltages: frame.voltages.map((v, r) => (isLost(r) ? Number.NaN : v)),
	}));
	return { ...recording, frames };
}

function errorsOf(recording: Recording): (number | null)[] {
	return buildRecordingModels(recording, {
		prior: "diagonal",
		rule: "noise-figure",
		targetTriangles: 2000,
	}).flatMap((group) => positionErrors(group, picturesOf(group, recording), NEAR));
}

test("measured single targets stay in their place with 2 of 16 electrodes lost", () => {
	const read = parseRecording(tank16);
	if (!read.ok) throw new Error(sentenceOf(read.error));
	const frames = read.value.frames.filter(({ targets }) => targets.length === 1);
	const recording = { ...read.value, frames };
	const before = errorsOf(recording);
	for (const lost of [
		[0, 1],
		[2, 4],
		[5, 13],
		[7, 10],
		[9, 11],
	]) {
		for (const [i, error] of errorsOf(withoutElectrodes(recording, lost)).entries()) {
			expect(error, `${frames[i]!.id} without ${lost}`).not.toBeNull();
			expect((error! - before[i]!) / RADIUS, `${frames[i]!.id} without ${lost}`).toBeLessThan(0.1);
		}
	}
});
