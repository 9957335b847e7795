/** What pictures are made without, as pages are told. */
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { Fault, LeftOutState } from "../contract.ts";

/** Null where nothing is left out. */
export function leftOutState(leftOut: LeftOut | null): LeftOutState | null {
	if (leftOut === null || leftOut.kept === null) return null;
	const { electrodes, readings, readingsAtRest, share, isTrustworthy } = leftOut;
	return {
		electrodes: electrodes.map(({ electrode, sign, isSinceRest }) => ({
			number: electrode + 1,
			sign,
			isSinceRest,
		})),
		readings: new Set([...readings, ...readingsAtRest]).size,
		share,
		isTrustworthy,
	};
}

/** Nothing of what is measured can be believed. */
export function bandOff({ electrodes }: LeftOut): Fault {
	return { kind: "band-off", electrodes: electrodes.map(({ electrode }) => electrode + 1) };
}
