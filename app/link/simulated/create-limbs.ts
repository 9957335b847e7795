import type { ScenarioName } from "../../contract.ts";
import type { Wearer } from "./invented-person.ts";
import { LimbUnderBands } from "./limb-under-bands.ts";
import { largestSlipMetre } from "./scenario.ts";
import { TrueLimb } from "./true-limb.ts";
import type { WornLimb } from "./worn-limb.ts";

/** The limbs of a board's bands. Takes some tenths of a second for each, a second or two for bands that drive across: not
 *  for a thread that others wait for. */
export function createLimbs(options: {
	readonly seed: number;
	readonly bandCount: number;
	readonly electrodeCount: number;
	readonly scenario: ScenarioName;
	readonly wearer?: Wearer;
	readonly across?: boolean;
	readonly slideMetre?: number;
}): WornLimb[] {
	if (options.across === true) return [...new LimbUnderBands(options).bands];
	const slip = options.scenario === "slippage" ? largestSlipMetre : 0;
	return Array.from(
		{ length: options.bandCount },
		(_, bandIndex) =>
			new TrueLimb({
				seed: options.seed,
				bandIndex,
				electrodeCount: options.electrodeCount,
				largestSlipMetre: slip,
				...(options.wearer === undefined ? {} : { wearer: options.wearer }),
			}),
	);
}
