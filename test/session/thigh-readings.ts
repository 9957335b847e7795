/** Readings of an invented thigh by the forward model, with and without a tensed muscle, for tests of the whole way. */

import { inventedBand, inventedLimb } from "../../app/link/simulated/invented-person.ts";
import { effectiveHeightMetre } from "../../core/band/effective-height.ts";
import { createPattern, type PairRule, type Terminals } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { readingsFrom, solveForward } from "../../core/physics/solve-forward.ts";
import { meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";

export interface ThighReadings {
	/** [208, two-terminal 120, opposite 96] V at 1 mA */
	readonly rest: Float64Array;
	/** The same with 10 % less conductivity in one muscle. */
	tensed(regionId: string): Float64Array;
}

export function createThighReadings(
	terminals: Terminals = "four-terminal",
	side: "left" | "right" = inventedLimb.side,
	drive: PairRule = "adjacent",
): ThighReadings {
	const { electrodeCount, electrodeWidth } = inventedBand(16);
	const band = {
		electrodeCount,
		electrodeWidth,
		firstAngle: Math.PI / 2,
		direction: "anticlockwise",
	} as const;
	const subject = limbSubject(createThigh({ ...inventedLimb, side }), band, 50_000);
	const mesh = meshSubject(subject);
	const sigma = restSigma(subject, mesh);
	const pattern = createPattern(16, drive, terminals);
	const read = (conductivity: Float64Array): Float64Array =>
		readingsFrom(
			solveForward(mesh, conductivity, subject.contactImpedance),
			pattern,
			1e-3 / effectiveHeightMetre,
		);
	return {
		rest: read(sigma),
		tensed(regionId) {
			const label = subject.regions.findIndex(({ id }) => id === regionId) + 1;
			return read(sigma.map((value, k) => (mesh.regionOf[k] === label ? 0.9 * value : value)));
		},
	};
}
