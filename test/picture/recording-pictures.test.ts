import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseRecording, type Recording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };

const options = { prior: "diagonal", rule: "noise-figure", targetTriangles: 1500 } as const;

function createRecording(change: (file: typeof tank16) => unknown): Recording {
	const read = parseRecording(change(structuredClone(tank16)));
	if (!read.ok) throw new Error(sentenceOf(read.error));
	return read.value;
}

test("values are relative where the setup has no background, whatever the gain", () => {
	const frames = { "1.1": tank16.frames["1.1"] };
	const [known, unknown] = [false, true].map((isUnknown) => {
		const recording = createRecording((file) => {
			const { background, ...setup } = file.setup;
			return { ...file, frames, setup: isUnknown ? setup : { ...setup, background } };
		});
		const [group] = buildRecordingModels(recording, options);
		const [picture] = picturesOf(group!, recording);
		return { unit: group!.model.unit, least: Math.min(...picture!.change) };
	});
	expect(known!.unit).toBe("S/m");
	expect(unknown!.unit).toBe("relative");
	// contact impedance does not scale along, hence not exactly
	expect(unknown!.least / (known!.least / 0.03)).toBeCloseTo(1, 1);
});

test("frames of other rests or missing readings get models of their own", () => {
	const recording = createRecording((file) => {
		const voltages: (number | null)[] = [...file.frames["1.2"].voltages];
		for (let r = 0; r < 13; r++) voltages[r] = null;
		const { "1.1": a, "1.2": b, "1.3": c, "6.2": d } = file.frames;
		return { ...file, frames: { "1.1": a, "1.2": { ...b, voltages }, "1.3": c, "6.2": d } };
	});
	const groups = buildRecordingModels(recording, options);
	expect(groups.map(({ frames }) => frames.map(({ id }) => id))).toEqual([["1.1", "1.3"], ["1.2"], ["6.2"]]);
	// the missing drive's reciprocal readings stand in for it
	expect(groups[1]!.model.matrix.columnCount).toBe(104);
	for (const group of groups) {
		for (const { change } of picturesOf(group, recording)) {
			expect(change.every(Number.isFinite)).toBe(true);
		}
	}
});

test("a frame without any readings is refused in one sentence", () => {
	const recording = createRecording((file) => ({
		...file,
		frames: { "1.1": { rest: "1.0", voltages: new Array(208).fill(null) } },
	}));
	expect(() => buildRecordingModels(recording, options)).toThrow(/no reading is left/);
});
