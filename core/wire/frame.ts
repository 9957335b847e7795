/** One frame of one band exactly as it was received, plus what is needed to read it. */
export interface Frame {
	/** 0 to 3. */
	readonly bandIndex: number;
	/** Counts frames of this board, modulo 2³²; gaps show loss. */
	readonly sequence: number;
	/** Device time, µs since the board's start, unwrapped to a safe integer. */
	readonly timeMicros: number;
	/** Number of the drive configuration that the board announced and that this frame was taken with. */
	readonly configuration: number;
	/** Readings in the order of the configuration's pattern, in the configuration's unit (see `DriveConfiguration`). */
	readonly values: Float64Array;
}

/** How a board drives and reads one band, announced before frames that use it. */
export interface DriveConfiguration {
	readonly configuration: number;
	readonly bandIndex: number;
	readonly electrodeCount: number;
	/** `adjacent`, `opposite`, `skip-N`, … as in `core/band/patterns.ts`. */
	readonly drive: string;
	/** `four-terminal` or `two-terminal`. */
	readonly terminals: "four-terminal" | "two-terminal";
	/** r.m.s., mA. */
	readonly currentMilliamp: number;
	readonly frequencyHertz: number;
	/** Voltage gain of the receiving side; the values are already divided by it when `unit` is V. */
	readonly gain: number;
	/** Volts for each unit of a value: 1 when values are volts, the converter's step (already divided by gain)
	 *  when they are counts. */
	readonly voltsPerUnit: number;
	/** Largest magnitude a value can take before the converter clips, in the value's unit; 0 when unknown. */
	readonly fullScale: number;
}

export interface BoardIdentity {
	readonly board: string;
	readonly firmware: string;
	readonly serial: string;
	readonly protocolVersion: number;
	readonly bandCount: number;
	/** True for every simulated board: shown on every screen and stored with every record. */
	readonly simulated: boolean;
}
