import { expect, test } from "vitest";
import type { RegionSight } from "../../core/picture/region-sight.ts";
import { sightGrade } from "../../core/picture/sight-grade.ts";

const well: RegionSight = {
	id: "a",
	name: "A",
	share: 0.8,
	leak: 0.1,
	signalToNoise: 50,
	verdict: "well",
};

test.each([
	["what is seen well", {}, "well"],
	["what others show, too", { leak: 0.6, verdict: "others show it too" }, "poorly"],
	["little of it", { share: 0.3, verdict: "too little of it is shown" }, "poorly"],
	["hardly anything of it", { share: 0.19, verdict: "too little of it is shown" }, "not"],
	["what is shown the wrong way round", { share: -0.4, verdict: "too little of it is shown" }, "not"],
	["what stands near the noise", { signalToNoise: 6, verdict: "noise hides it" }, "poorly"],
	// three deviations: the usual limit of detection (IUPAC Gold Book, from memory)
	["what drowns in it", { signalToNoise: 2.9, verdict: "noise hides it" }, "not"],
	[
		"what no noise is known of",
		{ signalToNoise: null, share: 0.4, verdict: "too little of it is shown" },
		"poorly",
	],
] as const)("grades %s", (_, part, grade) => {
	expect(sightGrade({ ...well, ...part })).toBe(grade);
});
