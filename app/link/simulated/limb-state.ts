import { muscleIds } from "./exercises.ts";
import { Random } from "./random.ts";
import { largestSlipMetre, type Scenario } from "./scenario.ts";
import type { WornLimb } from "./worn-limb.ts";

/** Working muscle takes up fluid, and gives it back, over about a minute; at full engagement this much more
 *  conductivity, as a share of that at rest. Invented sizes; that conductivity rises with blood flow and
 *  extracellular water in stimulated muscle was seen by electrical impedance (Frontiers in Physiology 2023:1185958). */
const fluidShare = 0.015;
const fluidSeconds = 60;
/** Wander of all muscles together (temperature, posture), as a share of the conductivity at rest. */
const wanderShare = 0.002;
const wanderSeconds = 120;
/** Contacts settle as skin sweats under the electrodes, and wander. */
const settledContact = 0.8;
const settleSeconds = 180;
const contactWander = 0.03;
const contactWanderSeconds = 40;
/** Contacts change where the band slips to other skin, dry and not yet pressed: by half or twice, typically. */
const skinSpread = 0.5;

/** Conductivities and contacts of one band's limb as time goes on. */
export class LimbState {
	readonly activation = new Float64Array(muscleIds.length);
	/** [nMuscles] against rest, S/m. */
	readonly change = new Float64Array(muscleIds.length);
	/** [L] Ω·m² */
	readonly contact: Float64Array;
	slipMetre = 0;
	readonly poorElectrode: number;
	/** [L] how much the skin under each electrode differs where a slipped band comes to rest. */
	readonly #otherSkin: Float64Array;

	readonly #limb: WornLimb;
	readonly #random: Random;
	readonly #fluid = new Float64Array(muscleIds.length);
	readonly #contactWander: Float64Array;
	#wander = 0;
	#seconds = 0;

	constructor(limb: WornLimb, seed: number, bandIndex: number) {
		this.#limb = limb;
		this.#random = new Random(seed, `drift of band ${bandIndex}`);
		this.contact = limb.restContact.slice();
		this.#contactWander = new Float64Array(limb.electrodeCount);
		this.poorElectrode = this.#random.below(limb.electrodeCount);
		this.#otherSkin = Float64Array.from(this.contact, () => skinSpread * this.#random.normal());
	}

	/** @param seconds since the board's start, never backwards @param scenarioSeconds since it was started to run,
	 *  negative before */
	advanceTo(seconds: number, scenario: Scenario, scenarioSeconds: number): void {
		const step = Math.max(0, seconds - this.#seconds);
		this.#seconds = seconds;
		scenario.activationsInto(scenarioSeconds, this.activation);
		this.slipMetre = scenario.slipMetre(scenarioSeconds);
		this.#wander = this.#wandered(this.#wander, step, wanderSeconds, wanderShare);
		const { restOfMuscles, fullChange, restContact } = this.#limb;
		const fluidStep = -Math.expm1(-step / fluidSeconds);
		for (let m = 0; m < this.change.length; m++) {
			this.#fluid[m]! += (this.activation[m]! - this.#fluid[m]!) * fluidStep;
			const slow = restOfMuscles[m]! * (fluidShare * this.#fluid[m]! + this.#wander);
			this.change[m] = fullChange[m]! * this.activation[m]! + slow;
		}
		const settling = settledContact + (1 - settledContact) * Math.exp(-seconds / settleSeconds);
		const slipped = this.slipMetre / largestSlipMetre;
		for (let e = 0; e < this.contact.length; e++) {
			const wander = this.#wandered(this.#contactWander[e]!, step, contactWanderSeconds, contactWander);
			this.#contactWander[e] = wander;
			const factor = e === this.poorElectrode ? scenario.contactFactor(scenarioSeconds) : 1;
			this.contact[e] =
				restContact[e]! * settling * Math.exp(wander + slipped * this.#otherSkin[e]!) * factor;
		}
	}

	/** A step of a random wander around zero with the given time constant and standard deviation
	 *  (Ornstein–Uhlenbeck, exact for any step). */
	#wandered(value: number, step: number, timeConstant: number, deviation: number): number {
		const kept = Math.exp(-step / timeConstant);
		return value * kept + deviation * Math.sqrt(1 - kept * kept) * this.#random.normal();
	}
}
