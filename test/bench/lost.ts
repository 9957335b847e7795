/** Electrodes lost while frames arrive: the update of a finished model, and a frame with it, beside making the model. */
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel } from "../../core/picture/picture-model.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { time } from "./measure.ts";

export function benchLost(): Record<string, unknown> {
	return Object.fromEntries([16, 32, 64].map((count) => [`${count} electrodes, 2 lost`, benchRing(count)]));
}

function benchRing(electrodeCount: number): Record<string, unknown> {
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
	const pattern = createPattern(electrodeCount, "adjacent");
	const began = performance.now();
	const model = buildPictureModel({
		subject: limbSubject(limb, band, 50_000),
		pattern,
		ohmMetrePerUnit: 50,
		noise: null,
		prior: "diagonal",
		rule: "noise-figure",
	});
	const whole = performance.now() - began;
	const kept = keepWithout(pattern, [3, 4]);
	const update = time(() => trustReadings(model, kept));
	const kernel = createPictureKernel(model);
	const rest = Float64Array.from({ length: model.readingCount }, (_, i) => 1e-3 * Math.sin(1 + i));
	kernel.setBaseline(rest);
	const readings = rest.map((value, i) => value * (1 + 0.01 * Math.cos(i)));
	const before = time(() => kernel.apply(readings), 0.3);
	kernel.setTrust(trustReadings(model, kept));
	const after = time(() => kernel.apply(readings), 0.3);
	return {
		"update ms": update.median / 1000,
		"limit ms": 50,
		"ratio to a new model": Number((update.median / 1000 / whole).toFixed(4)),
		"frame µs": before.median,
		"frame µs with 2 lost": after.median,
	};
}
