import { describe, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createReadingWatch } from "../../core/signal/reading-watch.ts";
import { createRandom } from "../picture/plain-algebra.ts";
import { FRAMES_PER_SECOND, watchScenario, wornScenarios } from "./watch-scenario.ts";

const pattern = createPattern(16, "adjacent");
test.each(wornScenarios)("a minute of %s, with drift, raises no alarm", (scenario) => {
	expect(watchScenario(scenario, 4, 60, true).told).toEqual([]);
});

test.each([true, false])(
	"a contact that lifts off is out within a second, told by the board or not: %s",
	(tells) => {
		const { told, worst } = watchScenario("poor-contact", 1, 60, tells);
		// 22.0 to 22.2 s: lifts; 25.2 s: back; 34.2 s: lifts; 36.2 s: back
		const lost = told.filter(({ electrodes }, i) => electrodes.length > 0 && !told[i - 1]?.electrodes.length);
		const back = told.filter(({ electrodes }) => electrodes.length === 0);
		expect(lost.map(({ electrodes }) => electrodes)).toEqual([[worst], [worst]]);
		expect(lost[0]!.seconds - 22).toBeLessThan(1);
		expect(lost[1]!.seconds - 34).toBeLessThan(1);
		expect(back).toHaveLength(2);
		// two seconds of good readings, and up to two until the board tells the contact again
		expect(back[0]!.seconds - 25.2).toBeLessThan(4.5);
		expect(back[1]!.seconds - 36.2).toBeLessThan(4.5);
	},
);

describe("readings at a limit", () => {
	const rest = Float64Array.from({ length: 208 }, (_, r) => 0.2 + 0.001 * r);
	const noise = rest.map((value) => 1e-3 * value);

	function createScene(fullScale: number) {
		const random = createRandom(2);
		const watch = createReadingWatch(pattern, fullScale);
		watch.setBaseline({ median: rest, noise });
		let frame = 0;
		return {
			watch,
			play(seconds: number, change: (value: number, reading: number) => number = (value) => value): void {
				for (let i = 0; i < Math.round(seconds * FRAMES_PER_SECOND); i++) {
					frame++;
					const values = rest.map((value, r) => change(value + noise[r]! * random(), r));
					watch.take(frame / FRAMES_PER_SECOND, values);
				}
			},
		};
	}

	// 98 % of full scale is common practice, without a published source.
	test("are out from 98 % of full scale on, of either sign, and when they are missing", () => {
		const { watch, play } = createScene(1);
		play(1);
		play(0.1, (value, r) => [0.97, 0.98, -0.99, Number.NaN][r] ?? value);
		expect(watch.leftOut.readings).toEqual([1, 2, 3]);
		expect(watch.leftOut.electrodes).toEqual([]);
		expect(Array.from(watch.leftOut.kept!.subarray(0, 5))).toEqual([1, 0, 0, 0, 1]);
		play(1.8);
		expect(watch.leftOut.readings).toEqual([1, 2, 3]);
		play(0.2);
		expect(watch.leftOut.kept).toBeNull();
	});

	test("are found without a full scale where the largest value repeats while others move", () => {
		const { watch, play } = createScene(0);
		play(1.5, (value, r) => (r === 50 || r === 60 ? 0.9 : value));
		expect(watch.leftOut.readings).toEqual([50, 60]);
		play(3);
		expect(watch.leftOut.kept).toBeNull();
		// a smaller value that stands still is none of the converter's ends
		play(2, (value, r) => (r === 50 ? 0.21 : value));
		expect(watch.leftOut.readings).toEqual([]);
	});

	test("are not found in a board that repeats every reading", () => {
		const { watch, play } = createScene(0);
		play(2, (_, r) => rest[r]!);
		expect(watch.leftOut.kept).toBeNull();
	});

	test("at rest they are out until the next rest", () => {
		const { watch, play } = createScene(1);
		watch.setBaseline({ median: rest.map((value, r) => (r === 9 ? 0.99 : value)), noise });
		play(3);
		expect(watch.leftOut).toMatchObject({ readings: [], readingsAtRest: [9] });
		expect(watch.leftOut.keptAtRest?.[9]).toBe(0);
		watch.setBaseline({ median: rest, noise });
		expect(watch.leftOut.kept).toBeNull();
	});

	test("more than half of all readings gone is too much to be believed", () => {
		const { watch, play } = createScene(1);
		play(0.1, (value, r) => (r % 2 === 0 ? 1 : value));
		expect(watch.leftOut).toMatchObject({ share: 0.5, isTrustworthy: true });
		play(0.1, (value, r) => (r % 2 === 0 || r === 1 ? 1 : value));
		expect(watch.leftOut.isTrustworthy).toBe(false);
	});
});

test("an electrode between two that fail is not accused: nothing tells it from a good one", () => {
	const random = createRandom(8);
	const rest = Float64Array.from({ length: 208 }, () => 0.2);
	const noise = rest.map(() => 1e-4);
	const watch = createReadingWatch(pattern, 0);
	watch.setBaseline({ median: rest, noise });
	for (let frame = 0; frame < 40; frame++) {
		const values = rest.map((value, r) => {
			const has = [2, 4].some((electrode) =>
				pattern.terminals.subarray(4 * r, 4 * r + 4).includes(electrode),
			);
			return (has && frame > 10 ? value * (1 + random()) : value) + noise[r]! * random();
		});
		watch.take(frame / FRAMES_PER_SECOND, values);
	}
	expect(watch.leftOut.electrodes.map(({ electrode }) => electrode)).toEqual([2, 4]);
	expect(watch.leftOut.isTrustworthy).toBe(true);
});
