import type { FiguresOfMerit } from "./figures-of-merit.ts";

/**
 * What the consensus asks of the figures of merit (Adler et al., Physiol. Meas. 30:S35, 2009, from memory), most important
 * first: amplitude response the same at all places; position error small and the same; ringing small; resolution the same;
 * little deformation. It names no figures: these bounds are this project's, for targets within `WANTED_WITHIN`. A uniform
 * disc with 16 electrodes and adjacent drive keeps them.
 */
export const wantedMerit: Readonly<Record<keyof FiguresOfMerit, readonly [low: number, high: number]>> = {
	amplitude: [0.9, 1.1],
	positionError: [-0.06, 0.06],
	resolution: [0, 0.3],
	shapeDeformation: [0, 0.2],
	ringing: [0, 0.75],
};

/** Share of the way from the middle to the skin. */
export const WANTED_WITHIN = 0.8;
