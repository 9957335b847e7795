/** How the thickness of the fat under the skin comes to be known, and how well. All lengths in m. */
export type FatSource = "ultrasound" | "skinfold" | "assumed";

/** Anterior thighs of middle-aged adults: 10.4 ± 4.1 mm (Mechelli, JCSM Clin. Rep. 4(2)). By ultrasound, fat and fascia over
 *  the front of the thigh are about 8 mm in young and 9 mm in older men, 14 and 16 mm in women (from the shares of
 *  Agyapong-Badu et al., 2014, 136 people). */
export const USUAL_FAT = 0.01;

/** What a thickness may be off by. That of people of one age is published (see `USUAL_FAT`); those of a probe and of
 *  calipers in practised hands are common practice, no source. */
export const fatUncertainty: Readonly<Record<FatSource, number>> = {
	ultrasound: 0.001,
	skinfold: 0.003,
	assumed: 0.004,
};

/** A fold between calipers is two layers of skin and fat: half of it is one. The skin stays in, for moist skin conducts
 *  about as fat does (0.029 and 0.024 S/m at 50 kHz: Gabriel, Lau & Gabriel, Phys. Med. Biol. 41:2271, 1996); that calipers
 *  press it together is left out. Common practice, no source. */
export function fatFromSkinfold(fold: number): number {
	return fold / 2;
}

export function skinfoldFromFat(thickness: number): number {
	return 2 * thickness;
}
