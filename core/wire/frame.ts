/** One frame of one band exactly as it was received, plus what is needed to read it. */
export interface Frame {
	/** 0 to 3. */
	readonly bandIndex: number;
	/** Counts frames of this band, modulo 2³²; gaps show loss. */
	readonly sequence: number;
	/** Device time, µs, unwrapped to a safe integer that never runs backwards: over a restart of the board it goes
	 *  on from where it was, as far as the host's clock can tell. */
	readonly timeMicros: number;
	/** Number of the drive configuration that the board announced and that this frame was taken with. */
	readonly configuration: number;
	/** [readingCount] in the order of the configuration's pattern, in the configuration's unit (see
	 *  `DriveConfiguration`): volts = value × `voltsPerUnit`. */
	readonly values: Float64Array;
}

/** How a board drives and reads one band, announced before frames that use it. */
export interface DriveConfiguration {
	readonly configuration: number;
	readonly bandIndex: number;
	readonly electrodeCount: number;
	/** `adjacent`, `opposite`, `skip-N` as in `core/band/patterns.ts`, or `listed`: see `listedTerminals`. */
	readonly drive: string;
	/** Whether readings leave out the electrodes that carry the current. */
	readonly terminals: "four-terminal" | "two-terminal";
	/** Readings in a frame, 1 to 4096. */
	readonly readingCount: number;
	/** [readingCount × 4] source, sink, plus, minus electrode from 0, when `drive` is `listed`; else null. Electrodes of
	 *  the board's other bands as `core/band/board-electrode.ts` numbers them. */
	readonly listedTerminals: Uint16Array | null;
	/** r.m.s., mA. */
	readonly currentMilliamp: number;
	readonly frequencyHertz: number;
	/** Voltage gain of the receiving side; `voltsPerUnit` is already divided by it. */
	readonly gain: number;
	/** Volts at the electrodes for each unit of a value: 1 when values are volts, the converter's step (already
	 *  divided by gain) when they are counts. */
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
	/** Differs after every start of the board, so that a restart is not taken for lost frames. */
	readonly bootNumber: number;
	/** True for every simulated board: shown on every screen and stored with every record. */
	readonly simulated: boolean;
}

/** What one band of a board can be set to. */
export interface BandAbility {
	readonly bandIndex: number;
	readonly electrodeCount: number;
	/** r.m.s. */
	readonly minimumMilliamp: number;
	readonly maximumMilliamp: number;
	readonly minimumHertz: number;
	readonly maximumHertz: number;
	readonly minimumGain: number;
	readonly maximumGain: number;
}

/** What a band is doing. `tripped`: its own current limit has switched the drive off. */
export type BandActivity = "running" | "stopped" | "charging" | "tripped";

export interface BandStatus {
	readonly bandIndex: number;
	readonly activity: BandActivity;
	/** Null without a battery or a gauge. */
	readonly batteryPercent: number | null;
}
