/** Electrodes lost while frames arrive: the update of a finished model, and a frame with it, beside making the model. */
import type { ReadingPattern } from "../../core/band/band.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { sentenceOf } from "../../core/invalid-input.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, type PictureModelOptions } from "../../core/picture/picture-model.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import { limbSubject, setupSubject } from "../../core/picture/subject.ts";
import tank32 from "../outside/data/tank32.json" with { type: "json" };
import { atMost, processorMicros, time } from "./measure.ts";

/** The time from the loss of an electrode to pictures without it, less what it takes to find it. ms */
const LIMIT = 50;

export function benchLost(): Record<string, unknown> {
	const rings = [16, 32, 64].map((count) => [`thigh, ${count} electrodes`, thighOf(count)] as const);
	const bodies = [...rings, ["tank, 32 electrodes, 2072 readings", tank()] as const];
	return Object.fromEntries(bodies.map(([name, body]) => [`${name}, 2 lost`, benchBody(body)]));
}

type Body = Pick<PictureModelOptions, "subject" | "pattern" | "ohmMetrePerUnit">;

function thighOf(electrodeCount: number): Body {
	const limb = createThigh({
		side: "left",
		outline: { type: "circle", radius: 0.084 },
		fatThickness: 0.01,
		level: 0.5,
	});
	const band = {
		electrodeCount,
		electrodeWidth: 0.32 / electrodeCount,
		firstAngle: Math.PI / 2,
		direction: "anticlockwise",
	} as const;
	const pattern: ReadingPattern = createPattern(electrodeCount, "adjacent");
	return { subject: limbSubject(limb, band, 50_000), pattern, ohmMetrePerUnit: 50 };
}

function tank(): Body {
	const read = parseRecording(tank32);
	if (!read.ok) throw new Error(sentenceOf(read.error));
	const { setup } = read.value;
	return {
		subject: setupSubject(setup),
		pattern: setup.pattern,
		ohmMetrePerUnit: setup.current.map((ampere) => 1 / ampere),
	};
}

function benchBody(body: Body): Record<string, unknown> {
	const began = processorMicros();
	const model = buildPictureModel({ ...body, noise: null, prior: "diagonal", rule: "noise-figure" });
	const whole = processorMicros() - began;
	const kept = keepWithout(body.pattern, [3, 4]);
	const kernel = createPictureKernel(model);
	const update = time(() => kernel.setTrust(trustReadings(model, kept)));
	kernel.setTrust(null);
	const rest = Float64Array.from({ length: model.readingCount }, (_, i) => 1e-3 * Math.sin(1 + i));
	kernel.setBaseline(rest);
	const readings = rest.map((value, i) => value * (1 + 0.01 * Math.cos(i)));
	const before = time(() => kernel.apply(readings), 0.3);
	kernel.setTrust(trustReadings(model, kept));
	const after = time(() => kernel.apply(readings), 0.3);
	return {
		"update ms": atMost(LIMIT, update.p10 / 1000),
		"ratio to a new model": Number((update.p10 / whole).toFixed(4)),
		"frame µs": before.median,
		"frame µs with 2 lost": after.median,
	};
}
