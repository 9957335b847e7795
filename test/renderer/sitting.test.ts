import { describe, expect, test } from "vitest";
import { library } from "../../core/exercise/library.ts";
import { type PlanVersion, planItemOf } from "../../core/exercise/plan.ts";
import { minutesFor, nextIndex, stageBefore } from "../../renderer/sitting.ts";

function createVersion(): PlanVersion {
	const [quadSet, legRaise] = library;
	const items = [planItemOf(quadSet!, "left"), planItemOf(legRaise!, "left"), planItemOf(quadSet!, "right")];
	const schedule = { weekdays: [1, 2, 3, 4, 5, 6, 7], timesPerDay: 2 };
	return { version: 1, from: "2026-03-04", items, schedule, reason: "" };
}

describe("a sitting", () => {
	const version = createVersion();
	const asked = version.items.map(({ dose }) => dose.sets);

	test("begins with the first exercise that has sets left in this round", () => {
		expect(nextIndex(version, [0, 0, 0], 1, 0)).toBe(0);
		expect(nextIndex(version, [asked[0]!, 0, 0], 1, 0)).toBe(1);
		expect(nextIndex(version, asked, 1, 0)).toBeNull();
		expect(nextIndex(version, asked, 2, 0)).toBe(0);
	});

	test("goes on after the one that was done, even if that was ended early", () => {
		expect(nextIndex(version, [0, 0, 0], 1, 1)).toBe(1);
		expect(nextIndex(version, [0, 0, 0], 1, 3)).toBeNull();
	});

	test("puts the band on first, asks once for pain, and moves the band for the other leg", () => {
		expect(stageBefore(version, 0, null, false)).toEqual({ at: "band", index: 0 });
		expect(stageBefore(version, 0, "left", false)).toEqual({ at: "pain", index: 0 });
		expect(stageBefore(version, 1, "left", true)).toEqual({ at: "intro", index: 1 });
		expect(stageBefore(version, 2, "left", true)).toEqual({ at: "band", index: 2 });
	});

	test("takes as long as what is left, by hand from the doses", () => {
		const [quadSet] = version.items;
		const { dose } = quadSet!;
		const seconds = 30 + dose.repetitions * (dose.holdSeconds + dose.pauseSeconds);
		const done = [0, asked[1]!, asked[2]!];
		expect(minutesFor(version, done, 1)).toBe(Math.round(seconds / 60));
		expect(minutesFor(version, asked, 1)).toBe(1);
		expect(minutesFor(version, asked, 2)).toBeGreaterThan(minutesFor(version, done, 1));
	});
});
