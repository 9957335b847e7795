import type { BandSetup, LimbSetup } from "../../contract.ts";

/**
 * The invented person whom every simulated board is strapped to: what was measured on her with a tape, which is not
 * quite what is inside the simulation (`true-limb.ts`). 52 cm around, near the median of US adults at mid-thigh
 * (Chen et al., Risk Manag Healthc Policy 13:1977, 2020); fat of 8 mm is typical of young men's anterior thigh
 * (derived from Agyapong-Badu et al., 2014).
 */
export const inventedLimb: LimbSetup = {
	side: "right",
	outline: { type: "ellipse", a: 0.08, b: 0.0855 },
	fatThickness: 0.008,
	level: 0.5,
};

/** Whom a simulated board is strapped to, as measured from outside. */
export interface Wearer {
	readonly limb: LimbSetup;
	readonly band: BandSetup;
}

/** Her circumference, m. */
const aroundMetre = 0.52;
/** Electrode widths stay below this share of their pitch, so that a wider ring still fits. */
const widthShare = 0.6;

export function inventedBand(electrodeCount: number, circumference = aroundMetre): BandSetup {
	return {
		name: `Simulated band, ${electrodeCount} electrodes`,
		electrodeCount,
		electrodeWidth: Math.min(0.02, (widthShare * circumference) / electrodeCount),
		firstElectrodeDegrees: 0,
		direction: "anticlockwise",
		positions: null,
	};
}

export function inventedWearer(electrodeCount: number): Wearer {
	return { limb: inventedLimb, band: inventedBand(electrodeCount) };
}
