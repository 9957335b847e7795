/**
 * What a contact impedance at about 50 kHz says about an electrode. The levels are a proposal from common practice
 * (below 1 kΩ good, to 3 kΩ fair, to 10 kΩ poor, above that off; also one that stands out from its band by a factor of
 * three), without a published source.
 */
export type ContactVerdict = "good" | "fair" | "poor" | "off" | "unknown";

const FAIR_FROM_OHM = 1000;
const POOR_FROM_OHM = 3000;
const OFF_FROM_OHM = 10_000;
const OUTLIER_FACTOR = 3;

/** `ohm` [nElectrodes]; NaN where the board could not read it, which means that nothing touches the skin. */
export function judgeContacts(ohm: Float64Array): ContactVerdict[] {
	const readable = ohm.filter((value) => Number.isFinite(value)).sort();
	const median = readable.length === 0 ? Number.NaN : readable[readable.length >> 1]!;
	return Array.from(ohm, (value) => {
		if (!(value >= 0 && value <= OFF_FROM_OHM)) return "off";
		if (value > POOR_FROM_OHM) return "poor";
		return value > FAIR_FROM_OHM || value > OUTLIER_FACTOR * median ? "fair" : "good";
	});
}
