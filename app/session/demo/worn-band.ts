/** A simulated band on an invented thigh, read at any pace: the same limb, electronics and noise as the simulated board's
 *  (`app/link/simulated`), with the field solved some times a minute and followed in between, so that weeks of sessions
 *  take seconds. */
import { createPattern } from "../../../core/band/patterns.ts";
import { contactImpedanceOf } from "../../../core/physics/tissue.ts";
import type { DriveConfiguration } from "../../../core/wire/frame.ts";
import type { BandSetup, LimbSetup } from "../../contract.ts";
import { firstConfiguration, gainFor } from "../../link/simulated/board-settings.ts";
import { muscleIds } from "../../link/simulated/exercises.ts";
import { FrontEnd } from "../../link/simulated/front-end.ts";
import { Random } from "../../link/simulated/random.ts";
import { TrueLimb } from "../../link/simulated/true-limb.ts";

export interface WornBandOptions {
	readonly limb: LimbSetup;
	readonly band: BandSetup;
	readonly seed: number;
	/** Largest distance that it will slip, m. */
	readonly largestSlipMetre: number;
}

/** How the band sits at a moment. */
export interface Seat {
	readonly slipMetre: number;
	/** By how much the poor electrode's contact impedance is multiplied. */
	readonly contactFactor: number;
}

export const MILLIAMP = 1;
const DECIBEL = 70;
/** Shares of full effort at which the field is solved; between them it goes by the parabola through the three. The
 *  transfer impedances bend so little over this range that the parabola's error stays below the noise (the change of a
 *  muscle by a tenth moves readings by some percent, its cube by a thousandth of that). */
const EFFORTS = [0, 0.6, 1.2] as const;
const SOLVE_EVERY_SECONDS = 4;
/** As in the simulated board's limb: working muscle takes up fluid over about a minute. */
const FLUID_SHARE = 0.015;
const FLUID_SECONDS = 60;

export class WornBand {
	readonly limb: LimbSetup;
	readonly band: BandSetup;
	readonly terminals: Uint16Array;
	readonly configuration: DriveConfiguration;
	readonly #seed: number;
	readonly #true: TrueLimb;
	readonly #solved: readonly Float64Array[];
	readonly #transfer: Float64Array;
	readonly #counts: Float64Array;
	readonly #ohm: Float64Array;
	readonly #contact: Float64Array;
	readonly #putOn: Float64Array;
	readonly #change = new Float64Array(muscleIds.length);
	readonly #fluid = new Float64Array(muscleIds.length);
	readonly #poorElectrode: number;
	#frontEnd: FrontEnd;
	#engagement: readonly number[] = [];
	#solvedAt = Number.NEGATIVE_INFINITY;
	#seat: Seat = { slipMetre: 0, contactFactor: 1 };
	#seconds = 0;

	constructor({ limb, band, seed, largestSlipMetre }: WornBandOptions) {
		const { electrodeCount } = band;
		this.limb = limb;
		this.band = band;
		this.#seed = seed;
		this.#true = new TrueLimb({
			seed,
			bandIndex: 0,
			electrodeCount,
			wearer: { limb, band },
			largestSlipMetre,
		});
		const pattern = createPattern(electrodeCount, "adjacent", "four-terminal");
		this.terminals = pattern.terminals;
		const readingCount = pattern.terminals.length / 4;
		this.#solved = EFFORTS.map(() => new Float64Array(electrodeCount ** 2));
		this.#transfer = new Float64Array(electrodeCount ** 2);
		this.#counts = new Float64Array(readingCount);
		this.#ohm = new Float64Array(electrodeCount);
		this.#contact = new Float64Array(electrodeCount);
		this.#putOn = new Float64Array(electrodeCount).fill(1);
		this.#frontEnd = new FrontEnd(pattern, DECIBEL, seed, 0);
		this.#poorElectrode = new Random(seed, "poor electrode").below(electrodeCount);
		this.#true.transferInto(this.#change, this.#true.restContact, 0, this.#transfer);
		const gain = gainFor(this.#frontEnd.largestVolt(this.#transfer, MILLIAMP / 1000));
		this.configuration = {
			...firstConfiguration(0, electrodeCount, readingCount, MILLIAMP, gain),
			configuration: 1,
		};
	}

	/** The band is put on anew: other contacts, other noise, muscles rested. Time begins at 0. */
	putOn(session: number): void {
		const random = new Random(this.#seed, `put on ${session}`);
		for (let e = 0; e < this.#putOn.length; e++) this.#putOn[e] = Math.exp(0.12 * random.normal());
		const pattern = createPattern(this.band.electrodeCount, "adjacent", "four-terminal");
		this.#frontEnd = new FrontEnd(pattern, DECIBEL, this.#seed * 1000 + session, 0);
		this.#fluid.fill(0);
		this.#solvedAt = Number.NEGATIVE_INFINITY;
		this.#seconds = 0;
	}

	/** @param engagement [nMuscles] share of full engagement at full effort, in the order of `muscleIds` */
	begin(engagement: readonly number[]): void {
		this.#engagement = engagement;
		this.#solvedAt = Number.NEGATIVE_INFINITY;
	}

	/** Counts of a frame; valid until the next call. @param seconds never backwards @param effort 0 to 1.2 */
	read(seconds: number, effort: number, seat: Seat): Float64Array {
		const step = Math.max(0, seconds - this.#seconds);
		this.#seconds = seconds;
		const taken = -Math.expm1(-step / FLUID_SECONDS);
		for (let m = 0; m < this.#fluid.length; m++) {
			this.#fluid[m]! += (this.#engagement[m]! * effort - this.#fluid[m]!) * taken;
		}
		const isMoved =
			seat.slipMetre !== this.#seat.slipMetre || seat.contactFactor !== this.#seat.contactFactor;
		if (isMoved || seconds - this.#solvedAt > SOLVE_EVERY_SECONDS) this.#solve(seconds, seat);
		const [none, some, most] = EFFORTS;
		const a = ((effort - some) * (effort - most)) / ((none - some) * (none - most));
		const b = ((effort - none) * (effort - most)) / ((some - none) * (some - most));
		const c = ((effort - none) * (effort - some)) / ((most - none) * (most - some));
		const [t0, t1, t2] = this.#solved as [Float64Array, Float64Array, Float64Array];
		for (let i = 0; i < this.#transfer.length; i++) {
			this.#transfer[i] = a * t0[i]! + b * t1[i]! + c * t2[i]!;
		}
		const { gain } = this.configuration;
		this.#frontEnd.read(this.#transfer, this.#ohm, MILLIAMP / 1000, gain, seconds, this.#counts);
		return this.#counts;
	}

	/** [L] contact impedances at the latest reading, ohm. */
	get ohm(): Float64Array {
		return this.#ohm;
	}

	#solve(seconds: number, seat: Seat): void {
		this.#solvedAt = seconds;
		this.#seat = seat;
		const { restContact, restOfMuscles, fullChange, electrodeArea } = this.#true;
		const squareMetre = contactImpedanceOf(1, electrodeArea);
		const settling = 0.8 + 0.2 * Math.exp(-seconds / 180);
		for (let e = 0; e < this.#contact.length; e++) {
			const factor = e === this.#poorElectrode ? seat.contactFactor : 1;
			this.#contact[e] = restContact[e]! * this.#putOn[e]! * settling * factor;
			this.#ohm[e] = this.#contact[e]! / squareMetre;
		}
		for (const [i, effort] of EFFORTS.entries()) {
			for (let m = 0; m < this.#change.length; m++) {
				const work = fullChange[m]! * (this.#engagement[m] ?? 0) * effort;
				this.#change[m] = work + restOfMuscles[m]! * FLUID_SHARE * this.#fluid[m]!;
			}
			this.#true.transferInto(this.#change, this.#contact, seat.slipMetre, this.#solved[i]!);
		}
	}
}
