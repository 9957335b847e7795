import { expect, test } from "vitest";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { inventedWearer, type Wearer } from "../../app/link/simulated/invented-person.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { readingsFrom, solveForward } from "../../core/physics/solve-forward.ts";
import { meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";

const leftThigh: Wearer = {
	limb: { side: "left", outline: { type: "circle", radius: 0.095 }, fatThickness: 0.014, level: 0.4 },
	band: {
		name: "Wide band",
		electrodeCount: 16,
		electrodeWidth: 0.016,
		firstElectrodeDegrees: 60,
		direction: "clockwise",
		positions: null,
	},
};

/** Adjacent four-terminal readings (V) of the limb and band exactly as they were measured. */
function readingsAsMeasured({ limb, band }: Wearer): Float64Array {
	const { electrodeCount, electrodeWidth, direction, firstElectrodeDegrees } = band;
	const firstAngle = Math.PI / 2 - (firstElectrodeDegrees * Math.PI) / 180;
	const subject = limbSubject(
		createThigh(limb),
		{ electrodeCount, electrodeWidth, direction, firstAngle },
		50_000,
	);
	const mesh = meshSubject(subject);
	const field = solveForward(mesh, restSigma(subject, mesh), subject.contactImpedance);
	return readingsFrom(field, createPattern(electrodeCount, "adjacent", "four-terminal"), 0.02);
}

function simulatedReadings(wearer: Wearer): Float64Array {
	const [limb] = createLimbs({ seed: 3, bandCount: 1, electrodeCount: 16, scenario: "rest", wearer });
	const transfer = new Float64Array(256);
	limb!.transferInto(new Float64Array(limb!.restOfMuscles.length), limb!.restContact, 0, transfer);
	const field = { electrodeCount: 16, transfer, nodePotentials: new Float64Array(0) };
	return readingsFrom(field, createPattern(16, "adjacent", "four-terminal"), 0.02);
}

function relativeDifference(a: Float64Array, b: Float64Array): number {
	let difference = 0;
	let square = 0;
	for (let i = 0; i < a.length; i++) {
		difference += (a[i]! - b[i]!) ** 2;
		square += b[i]! ** 2;
	}
	return Math.sqrt(difference / square);
}

test.each([leftThigh, inventedWearer(16)])(
	"a simulated board is strapped to the limb that was set up ($limb.side)",
	(wearer) => {
		const simulated = simulatedReadings(wearer);
		const other = wearer === leftThigh ? inventedWearer(16) : leftThigh;
		const own = relativeDifference(simulated, readingsAsMeasured(wearer));
		const foreign = relativeDifference(simulated, readingsAsMeasured(other));
		// What a tape misses: fat a little thicker, electrodes half a millimetre off, muscles a little different.
		expect(own).toBeLessThan(0.15);
		expect(foreign).toBeGreaterThan(2 * own);
	},
);

test("a second band lies where the thigh is thinner, without electrodes that touch", () => {
	const crowded: Wearer = {
		...leftThigh,
		band: { ...leftThigh.band, electrodeCount: 32, electrodeWidth: 0.0178 },
	};
	const limbs = createLimbs({ seed: 5, bandCount: 2, electrodeCount: 32, scenario: "rest", wearer: crowded });
	expect(limbs.map(({ electrodeCount }) => electrodeCount)).toEqual([32, 32]);
});
