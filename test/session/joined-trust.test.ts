import { expect, test } from "vitest";
import { createJoinedTrust } from "../../app/session/joined-trust.ts";
import { createLiveBand, type LiveBand, setContacts } from "../../app/session/live-band.ts";
import { boardElectrode } from "../../core/band/board-electrode.ts";
import { MIXED_READINGS, mixedConfiguration } from "./mixed-band.ts";

function createBand(own: 0 | 1): LiveBand {
	const band = createLiveBand(mixedConfiguration(own), null);
	if (!band.ok) throw new Error(band.error.kind);
	return band.value;
}

test("an electrode that one band has lost takes the other band's readings with it that touch it", () => {
	const bands = [createBand(0), createBand(1)];
	const trust = createJoinedTrust(bands);
	trust.hasChanged();
	expect(trust.kept()).toBeNull();

	// electrode 5 of the second band lifts off; the first band's watch sees nothing of its own
	const ohm = new Float64Array(16).fill(250);
	ohm[5] = 1e6;
	setContacts(bands[1]!, ohm);
	const values = Float64Array.from({ length: MIXED_READINGS }, (_, r) => 1 + r / 1000);
	for (let frame = 0; frame < 30; frame++) for (const { watch } of bands) watch.take(frame / 20, values);
	expect(bands[0]!.watch.leftOut.kept).toBeNull();
	expect(bands[1]!.watch.leftOut.electrodes.map(({ electrode }) => electrode)).toEqual([5]);

	expect(trust.hasChanged()).toBe(true);
	const kept = trust.kept()!;
	for (const [b, { pattern }] of bands.entries()) {
		for (let r = 0; r < MIXED_READINGS; r++) {
			const isTouched = Array.from(pattern.terminals.subarray(4 * r, 4 * r + 4)).some((number) => {
				const { band, electrode } = boardElectrode(number, b);
				return band === 1 && electrode === 5;
			});
			expect(kept[b * MIXED_READINGS + r]).toBe(isTouched ? 0 : 1);
		}
	}
});

test("a band is judged by its own electrodes: the other band off the skin leaves its section as it is", () => {
	const band = createBand(0);
	const isOwn = new Set(band.own);
	expect(isOwn.size).toBe(208);
	for (let frame = 0; frame < 30; frame++) {
		const values = Float64Array.from({ length: MIXED_READINGS }, (_, r) =>
			isOwn.has(r) ? 1 + r / 1000 + 1e-6 * Math.sin(frame) : Number.NaN,
		);
		band.watch.take(frame / 20, values);
	}
	const { leftOut } = band.watch;
	expect(leftOut.electrodes).toEqual([]);
	expect(leftOut.share).toBe(0);
	expect(leftOut.isTrustworthy).toBe(true);
	expect(leftOut.readings.length).toBe(256);
});
