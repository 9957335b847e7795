import { contactImpedanceOf } from "../../../core/physics/tissue.ts";
import type { BandActivity, DriveConfiguration } from "../../../core/wire/frame.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import { firstConfiguration, gainFor } from "./board-settings.ts";
import { muscleIds } from "./exercises.ts";
import { FrontEnd } from "./front-end.ts";
import { LimbState } from "./limb-state.ts";
import { Scenario } from "./scenario.ts";
import { slideShare } from "./slid-band.ts";
import { atFrequency } from "./true-limb.ts";
import type { FrameTruth, LineFate } from "./truth.ts";
import type { WornLimb } from "./worn-limb.ts";

const usualMilliamp = 1;
/** Far from a drive readings are smaller in a limb than on its section, where current cannot leave the plane: whoever
 *  reads across bands chooses a quieter amplifier. */
const usualDecibel = { section: 70, across: 76 } as const;

/** One band of a simulated board: its settings, and what it reads from its limb. */
export class SimulatedBand {
	readonly index: number;
	readonly limb: WornLimb;
	configuration: DriveConfiguration;
	activity: BandActivity = "stopped";
	/** When the next frame is due, s. */
	nextFrame = 0;

	readonly #state: LimbState;
	readonly #frontEnd: FrontEnd;
	readonly #scenario: Scenario;
	readonly #contactScale: number;
	readonly #farthestSlide: number;
	#startedAt = Number.POSITIVE_INFINITY;
	#seconds = 0;
	#sequence = 0;
	readonly #counts: Float64Array;
	readonly #ohm: Float64Array;
	/** Of all electrodes that it reads. */
	readonly #readOhm: Float64Array;
	readonly #transfer: Float64Array;
	readonly #contact: Float64Array;
	readonly #change = new Float64Array(muscleIds.length);

	constructor(options: SimulatedBoardOptions, limb: WornLimb, index: number, configurationNumber: number) {
		const { seed, electrodeCount } = options;
		const { pattern } = limb;
		const squareMetre = contactImpedanceOf(1, limb.electrodeArea);
		const usualOhm =
			limb.restContact.reduce((sum, contact) => sum + contact / squareMetre, 0) / electrodeCount;
		this.#contactScale = (options.contactOhm ?? usualOhm) / usualOhm;
		const readingCount = pattern.terminals.length / 4;
		const milliamp = options.currentMilliamp ?? usualMilliamp;
		this.#farthestSlide = options.slideMetre ?? 0;
		this.index = index;
		this.limb = limb;
		this.#state = new LimbState(limb, seed, index);
		const usual = limb.listed === null ? usualDecibel.section : usualDecibel.across;
		this.#frontEnd = new FrontEnd(pattern, options.signalToNoiseDecibel ?? usual, seed, index);
		this.#scenario = new Scenario(options.scenario, seed, options.asked ?? null);
		this.#counts = new Float64Array(readingCount);
		this.#ohm = new Float64Array(electrodeCount);
		this.#readOhm = new Float64Array(pattern.electrodeCount);
		this.#transfer = new Float64Array(pattern.electrodeCount ** 2);
		this.#contact = new Float64Array(electrodeCount);

		// Set as whoever fitted the band would have set it: to what it reads at rest.
		limb.transferInto(this.#change, limb.restContact, 0, this.#transfer);
		const gain = options.gain ?? gainFor(this.#frontEnd.largestVolt(this.#transfer, milliamp / 1000));
		this.configuration = {
			...firstConfiguration(index, electrodeCount, readingCount, milliamp, gain, limb.listed),
			configuration: configurationNumber,
		};
	}

	/** The person begins when the band is started, and rests before. */
	start(seconds: number, firstFrame: number): void {
		this.activity = "running";
		this.#startedAt = seconds;
		this.nextFrame = firstFrame;
	}

	/** Counts of a frame at a device time; valid until the next call. */
	read(seconds: number): Float64Array {
		this.#advanceTo(seconds);
		const { currentMilliamp, gain } = this.configuration;
		const movedMetre = this.#state.slipMetre + this.#slideMetre();
		this.limb.transferInto(this.#change, this.#contact, movedMetre, this.#transfer);
		const squareMetre = contactImpedanceOf(1, this.limb.electrodeArea);
		for (let e = 0; e < this.#readOhm.length; e++) this.#readOhm[e] = this.limb.contacts[e]! / squareMetre;
		this.#frontEnd.read(this.#transfer, this.#readOhm, currentMilliamp / 1000, gain, seconds, this.#counts);
		return this.#counts;
	}

	/** Contact impedances at a device time, ohm; valid until the next call. */
	contactsAt(seconds: number): Float64Array {
		this.#advanceTo(seconds);
		return this.#ohm;
	}

	/** The number of the next frame, which counts from here on. */
	takeSequence(): number {
		const sequence = this.#sequence;
		this.#sequence = (sequence + 1) >>> 0;
		return sequence;
	}

	/** Leaves out frames that were never taken. */
	skip(frames: number, seconds: number): void {
		this.#sequence = (this.#sequence + frames) >>> 0;
		this.nextFrame += seconds;
	}

	/** What was really so at the latest reading. */
	truthOf(sequence: number, line: LineFate): FrameTruth {
		const state = this.#state;
		const ohm = this.#ohm;
		const doing = this.#scenario.doing(this.#scenarioSeconds());
		let worst = 0;
		for (let e = 1; e < ohm.length; e++) if (ohm[e]! > ohm[worst]!) worst = e;
		return {
			bandIndex: this.index,
			sequence,
			timeMicros: Math.round(this.#seconds * 1e6),
			line,
			exercise: doing?.exercise ?? null,
			repetition: doing?.repetition ?? null,
			activation: byMuscle(state.activation),
			change: byMuscle(state.change),
			slipMillimetre: state.slipMetre * 1000,
			slideMillimetre: this.#slideMetre() * 1000,
			worstContactOhm: ohm[worst]!,
			worstElectrode: worst,
		};
	}

	#advanceTo(seconds: number): void {
		this.#seconds = seconds;
		const state = this.#state;
		state.advanceTo(seconds, this.#scenario, this.#scenarioSeconds());
		const { muscleShift, contactFactor } = atFrequency(this.configuration.frequencyHertz);
		const squareMetre = contactImpedanceOf(1, this.limb.electrodeArea);
		for (let m = 0; m < this.#change.length; m++) this.#change[m] = state.change[m]! + muscleShift;
		for (let e = 0; e < this.#ohm.length; e++) {
			this.#contact[e] = state.contact[e]! * contactFactor * this.#contactScale;
			this.#ohm[e] = this.#contact[e]! / squareMetre;
		}
	}

	#slideMetre(): number {
		return this.#farthestSlide * slideShare(this.#scenarioSeconds());
	}

	#scenarioSeconds(): number {
		return Math.max(0, this.#seconds - this.#startedAt);
	}
}

function byMuscle(values: Float64Array): FrameTruth["change"] {
	return Object.fromEntries(muscleIds.map((id, m) => [id, values[m]!])) as FrameTruth["change"];
}
