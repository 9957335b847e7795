import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Block, fitOnePage, paginate } from "../../renderer/report/paginate.ts";
import { createReport, paragraphsOf } from "../../renderer/report/report-model.ts";
import { createProgress, createReview, createSetRecord } from "./create-review.ts";

function createBlocks(...heights: (number | `heading ${number}`)[]): Block[] {
	return heights.map((height) =>
		typeof height === "number"
			? { height, keepWithNext: false }
			: { height: Number(height.slice("heading ".length)), keepWithNext: true },
	);
}

describe("pages", () => {
	test("end where the next block does not fit", () => {
		expect(paginate(createBlocks(40, 40, 40, 40), 100)).toEqual([
			[0, 2],
			[2, 4],
		]);
	});

	test("take a heading along to what it stands over", () => {
		expect(paginate(createBlocks(60, "heading 20", 40), 100)).toEqual([
			[0, 1],
			[1, 3],
		]);
	});

	test("give a block taller than a page one of its own", () => {
		expect(paginate(createBlocks(30, 300, 30), 100)).toEqual([
			[0, 1],
			[1, 2],
			[2, 3],
		]);
	});

	test("hold every block once and in order, and none holds more than fits", () => {
		const block = fc.record({ height: fc.integer({ min: 1, max: 150 }), keepWithNext: fc.boolean() });
		fc.assert(
			fc.property(fc.array(block, { maxLength: 60 }), (blocks) => {
				const pages = paginate(blocks, 100);
				expect(pages.flatMap(([from, to]) => blocks.slice(from, to))).toEqual(blocks);
				for (const [from, to] of pages) {
					expect(to).toBeGreaterThan(from);
					const height = blocks.slice(from, to).reduce((sum, each) => sum + each.height, 0);
					if (to - from > 1) expect(height).toBeLessThanOrEqual(100);
				}
			}),
		);
	});
});

describe("a report of one page", () => {
	test("leaves out what is least needed, whole", () => {
		const groups = [
			{ height: 50, rank: 0 },
			{ height: 30, rank: 2 },
			{ height: 20, rank: 1 },
			{ height: 10, rank: 3 },
		];
		expect(fitOnePage(groups, 85)).toEqual([true, false, true, true]);
		expect(fitOnePage(groups, 200)).toEqual([true, true, true, true]);
	});

	test("keeps what must be there though it is full", () => {
		expect(fitOnePage([{ height: 150, rank: 0 }], 100)).toEqual([true]);
	});
});

describe("what a report says", () => {
	const review = createReview();

	test("names the person by code, and never by name unless one is kept", () => {
		const { who } = createReport({ review, person: null, progress: null });
		expect(who.map(({ value }) => value)).toContain("P-014");
		expect(who.map(({ name }) => name)).not.toContain("Name");
	});

	test("says of invented data that they are invented", () => {
		expect(createReport({ review, person: null, progress: null }).isSimulated).toBe(true);
	});

	test("says how it was measured: band, drive, current, frequency, smoothing and rest", () => {
		const { measured } = createReport({ review, person: null, progress: null });
		const text = measured.map(({ name, value }) => `${name}: ${value}`).join("\n");
		for (const part of ["Test band", "adjacent", "1.00\u00a0mA", "50\u00a0kHz", "λ = 0.0210", "5\u00a0s"]) {
			expect(text).toContain(part);
		}
	});

	test("says how far a mean hold and a peak reach, and how the plan was kept", () => {
		const { summary, course, caveats } = createReport({ review, person: null, progress: createProgress() });
		expect(summary[0]).toMatchObject({
			hold: "4.0\u00a0s",
			holdBand: "3.8\u00a0s to 4.2\u00a0s",
			engagementBand: "error unknown",
		});
		const text = course.map(({ name, value }) => `${name}: ${value}`).join("\n");
		expect(text).toContain("Plan kept: 4 of 6 sessions, 8 of 12 sets, 80 of 120 repetitions");
		expect(text).toContain("hold time: 80\u00a0% of the other side, error unknown; 4.0\u00a0s");
		expect(caveats).toContain("It must not decide on loading, work or sport.");
	});

	test("holds only those parts of the notes that somebody wrote", () => {
		const { notes } = createReport({
			review: createReview({
				soap: { subjective: "Stairs are easier.", objective: " ", assessment: "", plan: "", savedAt: "" },
			}),
			person: null,
			progress: null,
		});
		expect(notes).toEqual([{ heading: "Subjective", paragraphs: ["Stairs are easier."] }]);
	});

	test("puts more sets than fit side by side into further tables, none lost", () => {
		const sets = Array.from({ length: 9 }, (_, i) => createSetRecord({ id: i + 1, set: i + 1 }));
		const { tables } = createReport({ review: createReview({ sets }), person: null, progress: null });
		expect(tables.map(({ columns }) => columns.length)).toEqual([4, 4, 1]);
		expect(tables.flatMap((table) => table.sets)).toEqual(sets);
	});

	test("cuts a paragraph that would fill a page between words, and loses none", () => {
		const text = Array.from({ length: 900 }, (_, i) => `word${i}`).join(" ");
		const pieces = paragraphsOf(`${text}\n\nlast`);
		expect(pieces.length).toBeGreaterThan(3);
		expect(Math.max(...pieces.map(({ length }) => length))).toBeLessThanOrEqual(1600);
		expect(pieces.join(" ")).toBe(`${text} last`);
	});
});
