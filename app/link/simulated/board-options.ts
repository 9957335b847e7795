import type { HostCommand } from "../../../core/wire/host-command.ts";
import type { ReadingEncoding } from "../../../core/wire/readings.ts";
import type { ScenarioName } from "../../contract.ts";
import type { AskedEffort } from "./follower.ts";
import type { Wearer } from "./invented-person.ts";

export interface SimulatedBoardOptions {
	readonly seed: number;
	readonly framesPerSecond: number;
	readonly bandCount: number;
	readonly electrodeCount: number;
	readonly scenario: ScenarioName;
	/** Several bands drive and read across, on a limb in three dimensions; else each is by itself on a section. */
	readonly across?: boolean;
	/** The invented person where left out. A band of another number of electrodes gives way to hers. */
	readonly wearer?: Wearer;
	/** How far the second of bands that read across slides towards the knee, m, from 20 s after its start on; 0 where left
	 *  out. */
	readonly slideMetre?: number;
	/** Share of lines that are damaged, and that never arrive, 0 to 1. */
	readonly corruptShare: number;
	readonly dropShare: number;
	/** 20·log₁₀ of a reading over its noise; 70 where left out, 76 for bands that read across. */
	readonly signalToNoiseDecibel?: number;
	readonly encoding?: ReadingEncoding;
	/** What the board drives when switched on, r.m.s.; 1 where left out. */
	readonly currentMilliamp?: number;
	/** Gain when switched on; what fits the readings at rest where left out. */
	readonly gain?: number;
	/** Mean contact impedance of the electrodes at 50 kHz, ohm; that of moist skin where left out. */
	readonly contactOhm?: number;
	/** Commands that it refuses, as a board with a fault in itself would. */
	readonly refuses?: readonly HostCommand["command"][];
	/** How late it obeys and answers, s. */
	readonly answersAfter?: number;
	/** Stream from the start, before any command. */
	readonly streamsAtOnce?: boolean;
	/** What the board's µs counter shows when switched on; 0 where left out. */
	readonly firstMicros?: number;
	/** Percent of charge, asked for with each status; a full one lasts nine hours where left out. At 2 and below the board
	 *  stops its bands and starts none. */
	readonly battery?: () => number;
	/** What the person in `follow-coach` is asked for. */
	readonly asked?: AskedEffort;
	/** Tells starts of the board apart; the seed where left out. */
	readonly bootNumber?: number;
}
