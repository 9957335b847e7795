import { expect, test } from "vitest";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { SimulatedBand } from "../../app/link/simulated/simulated-band.ts";
import type { WornLimb } from "../../app/link/simulated/worn-limb.ts";
import { effectiveHeightMetre } from "../../core/band/effective-height.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createElectrodeMisfit, isJudgedByMisfit } from "../../core/picture/electrode-misfit.ts";
import { buildPictureModel } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { createBaselineCollector } from "../../core/signal/baseline.ts";
import { FRAMES_PER_SECOND, watchScenario, wornScenarios } from "./watch-scenario.ts";

test.each(wornScenarios)("five minutes of %s, with drift, raise no alarm", (scenario) => {
	expect(watchScenario(scenario, 4, 300, true).told).toEqual([]);
});

/** The same limb under a band that drives opposite electrodes. */
function drivenOpposite(limb: WornLimb): WornLimb {
	return {
		electrodeCount: limb.electrodeCount,
		restOfMuscles: limb.restOfMuscles,
		fullChange: limb.fullChange,
		restContact: limb.restContact,
		electrodeArea: limb.electrodeArea,
		pattern: createPattern(limb.electrodeCount, "opposite"),
		listed: null,
		get contacts() {
			return limb.contacts;
		},
		transferInto: (...to) => limb.transferInto(...to),
	};
}

test.each(wornScenarios)(
	"a minute of %s raises no alarm without reciprocity, in the model of another shape with more or less fat",
	(scenario) => {
		const options = {
			seed: 4,
			framesPerSecond: FRAMES_PER_SECOND,
			bandCount: 1,
			electrodeCount: 16,
			scenario,
			corruptShare: 0,
			dropShare: 0,
		};
		const limb = drivenOpposite(createLimbs(options)[0]!);
		const { pattern } = limb;
		expect(isJudgedByMisfit(pattern)).toBe(true);
		const band = new SimulatedBand(options, limb, 0, 1);
		band.start(0, 0);
		const { voltsPerUnit, currentMilliamp } = band.configuration;
		const scale = voltsPerUnit / (currentMilliamp / 1000);
		const frames = Array.from({ length: 60 * FRAMES_PER_SECOND }, (_, frame) =>
			Float64Array.from(band.read(frame / FRAMES_PER_SECOND), (value) => value * scale),
		);
		const collector = createBaselineCollector(pattern.terminals.length / 4, 64);
		for (const frame of frames.slice(0, 20)) collector.add(frame);
		const rest = collector.finish();
		if (!rest.ok) throw new Error(rest.error.kind);
		const { median, noise } = rest.value;
		for (const fatThickness of [0.006, 0.012]) {
			const outline = { type: "ellipse", a: 0.085, b: 0.08 } as const;
			const worn = {
				electrodeCount: 16,
				electrodeWidth: 0.02,
				firstAngle: 1.5,
				direction: "clockwise",
			} as const;
			const model = buildPictureModel({
				subject: limbSubject(createThigh({ side: "right", outline, fatThickness, level: 0.5 }), worn, 50_000),
				pattern,
				ohmMetrePerUnit: effectiveHeightMetre,
				noise,
				rest: median,
				prior: "diagonal",
				rule: "noise-figure",
			});
			const misfit = createElectrodeMisfit(model, pattern);
			misfit.setBaseline(median);
			expect(frames.filter((frame) => misfit.judge(frame).includes(1))).toEqual([]);
		}
	},
);
