import { createPattern } from "../../../core/band/patterns.ts";
import { contactImpedanceOf } from "../../../core/physics/tissue.ts";
import { standardLimit } from "../../../core/safety/current-limit.ts";
import {
	abilityLine,
	acknowledgementLine,
	configurationLines,
	contactsLine,
	frameLine,
	helloLine,
	refusalLine,
	statusLine,
} from "../../../core/wire/board-lines.ts";
import type { BandActivity, DriveConfiguration } from "../../../core/wire/frame.ts";
import { type HostCommand, HostLineReader, type RefusalReason } from "../../../core/wire/host-command.ts";
import {
	hostSilenceSeconds,
	largestConfiguration,
	protocolVersion,
	statusEverySeconds,
} from "../../../core/wire/limits.ts";
import type { ReadingEncoding } from "../../../core/wire/readings.ts";
import type { ScenarioName } from "../../contract.ts";
import { damageLine } from "./damage.ts";
import { muscleIds } from "./exercises.ts";
import { FrontEnd, fullScaleCounts, voltsPerCount } from "./front-end.ts";
import { LimbState } from "./limb-state.ts";
import { Random } from "./random.ts";
import { Scenario } from "./scenario.ts";
import { atFrequency, type TrueLimb } from "./true-limb.ts";
import type { FrameTruth, LineFate } from "./truth.ts";

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

/** Where a board's lines go. */
export interface BoardOutput {
	/** A whole line; `isFrame` ones may be dropped by a caller whose line is clogged: @returns whether it was taken. */
	line(bytes: Uint8Array, isFrame: boolean): boolean;
	truth?(truth: FrameTruth): void;
}

const boardName = "tautline-simulated";
const firmwareVersion = "1.0.0";
/** What the board can be set to, and its own limit whatever it is asked: it never drives more than this or than the
 *  standard's rule at its frequency. */
const largestMilliamp = 2;
const frequencies = { least: 10_000, most: 100_000 } as const;
const gains = { least: 1, most: 200 } as const;
const firstHertz = 50_000;
const firstGain = 50;
const contactsEverySeconds = 2;
const batteryHours = 9;

interface Band {
	readonly index: number;
	readonly limb: TrueLimb;
	readonly state: LimbState;
	readonly frontEnd: FrontEnd;
	readonly scenario: Scenario;
	configuration: DriveConfiguration;
	sequence: number;
	activity: BandActivity;
	/** Device time of the latest start. */
	startedAt: number;
	nextFrame: number;
	readonly counts: Float64Array;
	readonly ohm: Float64Array;
	readonly transfer: Float64Array;
	readonly contact: Float64Array;
	readonly change: Float64Array;
}

/**
 * A board that does not exist: speaks the protocol in bytes, obeys the host's commands, and reads invented limbs.
 * It has no clock of its own: `advanceTo` takes it to a device time, in any steps, and the bytes that come out depend
 * on the options, the times and the commands alone.
 */
export class SimulatedBoard {
	readonly #options: SimulatedBoardOptions;
	readonly #output: BoardOutput;
	readonly #bands: readonly Band[];
	readonly #lineRandom: Random;
	readonly #reader = new HostLineReader();
	#seconds = 0;
	#nextStatus = statusEverySeconds;
	#nextContacts = contactsEverySeconds;
	#heardAt = 0;
	#configurationNumber = 0;
	#isSwitchedOn: boolean = false;

	/** @param limbs one for each band, see `createLimbs` */
	constructor(options: SimulatedBoardOptions, limbs: readonly TrueLimb[], output: BoardOutput) {
		if (limbs.length !== options.bandCount) {
			throw new RangeError(`${options.bandCount} bands need as many limbs, got ${limbs.length}`);
		}
		this.#options = options;
		this.#output = output;
		this.#lineRandom = new Random(options.seed, "lines");
		this.#bands = limbs.map((limb, index) => this.#createBand(limb, index));
	}

	/** When something is due next, s since the board's start. */
	get nextSeconds(): number {
		let next = Math.min(this.#nextStatus, this.#nextContacts);
		for (const band of this.#bands) if (band.activity === "running") next = Math.min(next, band.nextFrame);
		return next;
	}

	/** Device time, s since the board's start. */
	get seconds(): number {
		return this.#seconds;
	}

	/** Does all that is due until then, in its order. */
	advanceTo(seconds: number): void {
		if (!this.#isSwitchedOn) this.#switchOn();
		while (this.nextSeconds <= seconds) {
			this.#seconds = Math.max(this.#seconds, this.nextSeconds);
			this.#doNext();
		}
		this.#seconds = Math.max(this.#seconds, seconds);
	}

	/** Goes on from a later time, as after the computer slept: the frames between were never taken. */
	skipTo(seconds: number): void {
		const frames = Math.floor((seconds - this.#seconds) * this.#options.framesPerSecond);
		if (frames <= 0) return;
		const skipped = frames / this.#options.framesPerSecond;
		for (const band of this.#bands) {
			if (band.activity !== "running") continue;
			band.sequence = (band.sequence + frames) >>> 0;
			band.nextFrame += skipped;
		}
		this.#nextStatus += skipped;
		this.#nextContacts += skipped;
		this.#seconds += skipped;
	}

	/** Takes one line of the host, without its LF, at the time that was advanced to. */
	receive(line: Uint8Array): void {
		const read = this.#reader.read(line);
		if (read.kind === "ignore") return;
		this.#heardAt = this.#seconds;
		const refusal = read.kind === "refuse" ? read.reason : this.#obey(read.command);
		this.#say(refusal === null ? acknowledgementLine(read.id) : refusalLine(read.id, refusal));
	}

	// ---- What is due --------------------------------------------------------------------------------------------

	#switchOn(): void {
		this.#isSwitchedOn = true;
		this.#announce();
		if (!this.#options.streamsAtOnce) return;
		for (const band of this.#bands) this.#start(band);
	}

	#doNext(): void {
		for (const band of this.#bands) {
			if (band.activity === "running" && band.nextFrame <= this.#seconds) {
				this.#takeFrame(band);
				band.nextFrame += 1 / this.#options.framesPerSecond;
				return;
			}
		}
		if (this.#nextStatus <= this.#seconds) {
			this.#nextStatus += statusEverySeconds;
			this.#stopUnwatched();
			for (const band of this.#bands) this.#tellStatus(band);
			return;
		}
		this.#nextContacts += contactsEverySeconds;
		for (const band of this.#bands) if (band.activity === "running") this.#tellContacts(band);
	}

	/** No current into a person whom nobody watches. */
	#stopUnwatched(): void {
		if (this.#options.streamsAtOnce || this.#seconds - this.#heardAt <= hostSilenceSeconds) return;
		for (const band of this.#bands) if (band.activity === "running") this.#stop(band);
	}

	#takeFrame(band: Band): void {
		const { configuration, counts } = band;
		this.#updateLimb(band);
		band.limb.transferInto(band.change, band.contact, band.state.slipMetre, band.transfer);
		const ampere = configuration.currentMilliamp / 1000;
		band.frontEnd.read(band.transfer, band.ohm, ampere, configuration.gain, this.#seconds, counts);
		const { sequence } = band;
		band.sequence = (sequence + 1) >>> 0;
		const encoding = this.#options.encoding ?? "i24";
		const raw = this.#rawMicros();
		const line = frameLine(band.index, configuration.configuration, sequence, raw, encoding, counts);
		const fate = this.#say(line, true);
		this.#output.truth?.(this.#truthOf(band, sequence, fate));
	}

	#updateLimb(band: Band): void {
		const { state, limb, configuration } = band;
		state.advanceTo(this.#seconds, band.scenario, this.#scenarioSeconds(band));
		const { muscleShift, contactFactor } = atFrequency(configuration.frequencyHertz);
		for (let m = 0; m < band.change.length; m++) band.change[m] = state.change[m]! + muscleShift;
		for (let e = 0; e < band.contact.length; e++) {
			band.contact[e] = state.contact[e]! * contactFactor;
			band.ohm[e] = band.contact[e]! / contactImpedanceOf(1, limb.electrodeArea);
		}
	}

	/** The person begins when the band is started, and rests before. */
	#scenarioSeconds(band: Band): number {
		return Math.max(0, this.#seconds - band.startedAt);
	}

	#truthOf(band: Band, sequence: number, line: LineFate): FrameTruth {
		const { state } = band;
		const doing = band.scenario.doing(this.#scenarioSeconds(band));
		const byMuscle = (values: Float64Array) =>
			Object.fromEntries(muscleIds.map((id, m) => [id, values[m]!])) as FrameTruth["change"];
		let worst = 0;
		for (let e = 1; e < band.ohm.length; e++) if (band.ohm[e]! > band.ohm[worst]!) worst = e;
		return {
			bandIndex: band.index,
			sequence,
			timeMicros: Math.round(this.#seconds * 1e6),
			line,
			exercise: doing?.exercise ?? null,
			repetition: doing?.repetition ?? null,
			activation: byMuscle(state.activation),
			change: byMuscle(state.change),
			slipMillimetre: state.slipMetre * 1000,
			worstContactOhm: band.ohm[worst]!,
			worstElectrode: worst,
		};
	}

	// ---- What is said -------------------------------------------------------------------------------------------

	#announce(): void {
		const { seed, bandCount, bootNumber } = this.#options;
		const identity = {
			board: boardName,
			firmware: firmwareVersion,
			serial: `SIM-${seed.toString(16).toUpperCase().padStart(8, "0")}`,
			protocolVersion,
			bandCount,
			bootNumber: bootNumber ?? seed,
			simulated: true,
		};
		this.#say(helloLine(identity, this.#rawMicros()));
		for (const band of this.#bands) {
			this.#say(
				abilityLine({
					bandIndex: band.index,
					electrodeCount: band.limb.electrodeCount,
					minimumMilliamp: 0,
					maximumMilliamp: largestMilliamp,
					minimumHertz: frequencies.least,
					maximumHertz: frequencies.most,
					minimumGain: gains.least,
					maximumGain: gains.most,
				}),
			);
			this.#say(configurationLines(band.configuration));
			this.#tellStatus(band);
		}
	}

	#tellStatus(band: Band): void {
		const batteryPercent = Math.max(1, Math.round(94 - (100 * this.#seconds) / (3600 * batteryHours)));
		this.#say(
			statusLine({ bandIndex: band.index, activity: band.activity, batteryPercent }, this.#rawMicros()),
		);
	}

	#tellContacts(band: Band): void {
		this.#updateLimb(band);
		this.#say(contactsLine(band.index, this.#rawMicros(), band.ohm));
	}

	#say(text: string, isFrame = false): LineFate {
		const { corruptShare, dropShare } = this.#options;
		const chance = this.#lineRandom.uniform();
		if (chance < dropShare) return "dropped";
		const bytes = Uint8Array.from(text, (character) => character.charCodeAt(0));
		const isDamaged = chance < dropShare + corruptShare;
		const sent = isDamaged ? damageLine(bytes, this.#lineRandom) : bytes;
		if (!this.#output.line(sent, isFrame)) return "dropped";
		return isDamaged ? "corrupted" : "sent";
	}

	#rawMicros(): number {
		return ((this.#options.firstMicros ?? 0) + Math.round(this.#seconds * 1e6)) % 2 ** 32;
	}

	// ---- Commands -----------------------------------------------------------------------------------------------

	#obey(command: HostCommand): RefusalReason | null {
		switch (command.command) {
			case "hello":
				this.#announce();
				return null;
			case "alive":
				return null;
			case "start":
				return this.#forBands(command.bandIndex, (band) => this.#start(band));
			case "stop":
				return this.#forBands(command.bandIndex, (band) => this.#stop(band));
			case "contact":
				return this.#forBands(command.bandIndex, (band) => {
					this.#tellContacts(band);
					return null;
				});
			case "current":
				return this.#set(command.bandIndex, { currentMilliamp: command.microamp / 1000 });
			case "frequency":
				return this.#set(command.bandIndex, { frequencyHertz: command.hertz });
			case "gain":
				return this.#set(command.bandIndex, { gain: command.gain });
		}
	}

	#forBands(bandIndex: number | null, act: (band: Band) => RefusalReason | null): RefusalReason | null {
		if (bandIndex !== null && bandIndex >= this.#bands.length) return "out-of-range";
		for (const band of this.#bands) {
			if (bandIndex !== null && bandIndex !== band.index) continue;
			const refusal = act(band);
			if (refusal !== null) return refusal;
		}
		return null;
	}

	#start(band: Band): RefusalReason | null {
		if (band.activity === "running") return null;
		band.activity = "running";
		band.startedAt = this.#seconds;
		// Bands take turns within a frame period, as they would on shared electronics.
		const period = 1 / this.#options.framesPerSecond;
		band.nextFrame = this.#seconds + (period * (1 + band.index)) / this.#bands.length;
		this.#tellStatus(band);
		return null;
	}

	#stop(band: Band): null {
		if (band.activity === "stopped") return null;
		band.activity = "stopped";
		this.#tellStatus(band);
		return null;
	}

	#set(
		bandIndex: number | null,
		setting: Partial<Pick<DriveConfiguration, "currentMilliamp" | "frequencyHertz" | "gain">>,
	): RefusalReason | null {
		// All bands or none: a setting that one of them refuses changes nothing.
		const refusal = this.#forBands(bandIndex, (band) => refusalOf({ ...band.configuration, ...setting }));
		if (refusal !== null) return refusal;
		return this.#forBands(bandIndex, (band) => {
			const next = { ...band.configuration, ...setting };
			const configuration = this.#nextConfigurationNumber();
			band.configuration = { ...next, configuration, voltsPerUnit: voltsPerCount(next.gain) };
			this.#say(configurationLines(band.configuration));
			return null;
		});
	}

	#nextConfigurationNumber(): number {
		this.#configurationNumber = (this.#configurationNumber % largestConfiguration) + 1;
		return this.#configurationNumber;
	}

	#createBand(limb: TrueLimb, index: number): Band {
		const { seed, electrodeCount, scenario, currentMilliamp, signalToNoiseDecibel } = this.#options;
		const pattern = createPattern(electrodeCount, "adjacent", "four-terminal");
		const readingCount = pattern.terminals.length / 4;
		const state = new LimbState(limb, seed, index);
		return {
			index,
			limb,
			state,
			frontEnd: new FrontEnd(pattern, signalToNoiseDecibel ?? 70, seed, index),
			scenario: new Scenario(scenario, seed),
			configuration: {
				configuration: this.#nextConfigurationNumber(),
				bandIndex: index,
				electrodeCount,
				drive: "adjacent",
				terminals: "four-terminal",
				readingCount,
				listedTerminals: null,
				currentMilliamp: currentMilliamp ?? 1,
				frequencyHertz: firstHertz,
				gain: firstGain,
				voltsPerUnit: voltsPerCount(firstGain),
				fullScale: fullScaleCounts,
			},
			sequence: 0,
			activity: "stopped",
			startedAt: Number.POSITIVE_INFINITY,
			nextFrame: 0,
			counts: new Float64Array(readingCount),
			ohm: new Float64Array(electrodeCount),
			transfer: new Float64Array(electrodeCount ** 2),
			contact: new Float64Array(electrodeCount),
			change: new Float64Array(muscleIds.length),
		};
	}
}

function refusalOf({ currentMilliamp, frequencyHertz, gain }: DriveConfiguration): RefusalReason | null {
	const isPossible =
		currentMilliamp <= largestMilliamp &&
		frequencyHertz >= frequencies.least &&
		frequencyHertz <= frequencies.most &&
		gain >= gains.least &&
		gain <= gains.most;
	if (!isPossible) return "out-of-range";
	return currentMilliamp / 1000 > standardLimit(frequencyHertz) * (1 + 1e-9) ? "over-limit" : null;
}
