/** One ring of electrodes around a limb. Electrode 0's centre lies at `firstAngle` (radians from +x,
 *  anticlockwise, as seen in the limb's axes); the others follow by arc length along the skin. */
export interface Band {
	/** 8 to 64. */
	readonly electrodeCount: number;
	/** Length of each electrode along the skin, m. */
	readonly electrodeWidth: number;
	/** Radians. */
	readonly firstAngle: number;
	readonly direction: "anticlockwise" | "clockwise";
	/** Arc-length position of each electrode's centre as a fraction of the circumference in [0, 1), counted from
	 *  electrode 0 in `direction`; evenly spaced where left out. [electrodeCount] */
	readonly positions?: readonly number[];
}

/** Which electrodes drive and which are read, for every reading of a frame, in the order of the frame. */
export interface ReadingPattern {
	/** For people and for the wire, such as `adjacent/adjacent`. */
	readonly name: string;
	readonly electrodeCount: number;
	/** [nReadings × 4] row-major: source, sink, plus, minus electrode, counted from 0; in the pattern of one band of a
	 *  board, electrodes of its other bands as `board-electrode.ts` numbers them. A reading is U[plus] − U[minus] while
	 *  the current flows into `source` and out of `sink`. */
	readonly terminals: Uint16Array;
}
