import type { ReadingEncoding } from "../../../core/wire/readings.ts";
import type { ScenarioName } from "../../contract.ts";

export interface SimulatedBoardOptions {
	readonly seed: number;
	readonly framesPerSecond: number;
	readonly bandCount: number;
	readonly electrodeCount: number;
	readonly scenario: ScenarioName;
	/** Share of lines that are damaged, and that never arrive, 0 to 1. */
	readonly corruptShare: number;
	readonly dropShare: number;
	/** 20·log₁₀ of a reading over its noise; 70 where left out. */
	readonly signalToNoiseDecibel?: number;
	readonly encoding?: ReadingEncoding;
	/** What the board drives when switched on, r.m.s.; 1 where left out. */
	readonly currentMilliamp?: number;
	/** Stream from the start, before any command. */
	readonly streamsAtOnce?: boolean;
	/** What the board's µs counter shows when switched on; 0 where left out. */
	readonly firstMicros?: number;
	/** Tells starts of the board apart; the seed where left out. */
	readonly bootNumber?: number;
}
