import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { SimulatedBand } from "../../app/link/simulated/simulated-band.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createBaselineCollector } from "../../core/signal/baseline.ts";
import { judgeContacts } from "../../core/signal/contact.ts";
import { createReadingWatch } from "../../core/signal/reading-watch.ts";

export const FRAMES_PER_SECOND = 10;

/** In which every contact stays as it is. */
export const wornScenarios = ["tour", "quad-sets", "fatigue", "slippage"] as const;

/** What a band on an invented person is made to leave out: seconds and numbers from 1. */
export function watchScenario(
	scenario: (typeof wornScenarios)[number] | "poor-contact",
	seed: number,
	seconds: number,
	tellsContacts: boolean,
) {
	const options = {
		seed,
		framesPerSecond: FRAMES_PER_SECOND,
		bandCount: 1,
		electrodeCount: 16,
		scenario,
		corruptShare: 0,
		dropShare: 0,
	};
	const band = new SimulatedBand(options, createLimbs(options)[0]!, 0, 1);
	band.start(0, 0);
	const watch = createReadingWatch(createPattern(16, "adjacent"), band.configuration.fullScale);
	const collector = createBaselineCollector(208, 64);
	let worst = 0;
	const told: { seconds: number; electrodes: number[]; readings: number }[] = [];
	for (let frame = 0; frame < seconds * FRAMES_PER_SECOND; frame++) {
		const now = frame / FRAMES_PER_SECOND;
		const values = band.read(now);
		// in the middle of the first time off, where there is one
		if (frame === 23.5 * FRAMES_PER_SECOND) worst = band.truthOf(frame, "sent").worstElectrode + 1;
		if (frame < 20) collector.add(values);
		if (frame === 20) {
			const rest = collector.finish();
			if (!rest.ok) throw new Error(rest.error.kind);
			watch.setBaseline(rest.value);
		}
		// as often as the simulated board tells them
		if (tellsContacts && frame % 20 === 0) watch.setContacts(judgeContacts(band.contactsAt(now)));
		if (!watch.take(now, values)) continue;
		told.push({
			seconds: now,
			electrodes: watch.leftOut.electrodes.map(({ electrode }) => electrode + 1),
			readings: watch.leftOut.readings.length,
		});
	}
	return { told, worst };
}
