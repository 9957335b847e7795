import type { Band } from "./band.ts";

/** A band as a person describes it on a limb. */
export interface MeasuredBand extends Pick<Band, "electrodeCount" | "electrodeWidth" | "direction"> {
	/** Degrees from the front (+y) to electrode 1's centre, positive towards the person's left (+x). */
	readonly firstElectrodeDegrees: number;
	/** As in `Band`; null for even spacing. */
	readonly positions: readonly number[] | null;
}

/** Degrees from the front (+y) towards the person's left (+x) as radians from +x, anticlockwise. */
export function angleFromFront(degrees: number): number {
	return ((90 - degrees) * Math.PI) / 180;
}

/** The band in the limb's axes. */
export function bandOf(measured: MeasuredBand): Band {
	const { electrodeCount, electrodeWidth, direction, positions } = measured;
	return {
		electrodeCount,
		electrodeWidth,
		direction,
		firstAngle: angleFromFront(measured.firstElectrodeDegrees),
		...(positions !== null && { positions }),
	};
}
