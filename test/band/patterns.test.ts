import { describe, expect, test } from "vitest";
import type { ReadingPattern } from "../../core/band/band.ts";
import { createPattern, isPairRule, type PairRule, patternFromRows } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";

const countOf = ({ terminals }: ReadingPattern) => terminals.length / 4;
const rowsOf = ({ terminals }: ReadingPattern) =>
	Array.from({ length: terminals.length / 4 }, (_, r) => [...terminals.subarray(4 * r, 4 * r + 4)]);

describe("adjacent drive", () => {
	// N(N−3) readings of which reciprocity leaves half: Brown & Seagar, Clin Phys Physiol Meas 8A:91, 1987 (from
	// memory; 208 and 104 for 16 electrodes are the figures usually quoted).
	test.each([
		[8, 40, 20],
		[16, 208, 104],
		[32, 928, 464],
		[64, 3904, 1952],
	])("%d electrodes give %d readings, %d without their reciprocals", (electrodes, readings, independent) => {
		const pattern = createPattern(electrodes, "adjacent");
		expect(countOf(pattern)).toBe(readings);
		expect(findReciprocalPairs(pattern).count).toBe(independent);
	});

	test("drives k to k+1 and reads U[m] − U[m+1] for m = k+2 … k+L−2", () => {
		const expected: number[][] = [];
		for (let k = 0; k < 16; k++) {
			for (let m = k + 2; m <= k + 14; m++) expected.push([k, (k + 1) % 16, m % 16, (m + 1) % 16]);
		}
		expect(rowsOf(createPattern(16, "adjacent"))).toEqual(expected);
	});
});

describe("other drives", () => {
	// Also N(N−3): each drive leaves out the pairs at either of its electrodes, of which there are three.
	test.each<[PairRule, number]>([
		["skip-0", 208],
		["skip-2", 208],
		["skip-6", 208],
	])("%s with 16 electrodes gives %d readings", (rule, readings) => {
		expect(countOf(createPattern(16, rule))).toBe(readings);
	});

	test("opposite drive reads N − 4 adjacent pairs for each of N/2 drives", () => {
		const pattern = createPattern(16, "opposite");
		expect(countOf(pattern)).toBe(96);
		expect(rowsOf(pattern)[0]).toEqual([0, 8, 1, 2]);
	});

	test("skip up to opposite is opposite", () => {
		expect(rowsOf(createPattern(16, "skip-7", "four-terminal", "adjacent"))).toEqual(
			rowsOf(createPattern(16, "opposite")),
		);
	});

	test("reads with a spacing of its own where asked", () => {
		expect(createPattern(16, "skip-3", "four-terminal", "adjacent").name).toBe("skip-3/adjacent");
		expect(rowsOf(createPattern(16, "skip-3", "four-terminal", "adjacent"))[0]).toEqual([0, 4, 1, 2]);
	});

	test("never reads at a driven electrode, nor a pair twice in a drive", () => {
		for (const electrodes of [8, 9, 16, 27, 32]) {
			for (const rule of ["adjacent", "skip-1", "skip-2", "opposite"] as const) {
				for (const reading of ["adjacent", "skip-1", "opposite"] as const) {
					if (electrodes % 2 === 1 && (rule === "opposite" || reading === "opposite")) continue;
					const rows = rowsOf(createPattern(electrodes, rule, "four-terminal", reading));
					const seen = new Set<string>();
					for (const [source, sink, plus, minus] of rows) {
						expect([source, sink]).not.toContain(plus);
						expect([source, sink]).not.toContain(minus);
						const key = `${source}-${sink} ${Math.min(plus!, minus!)}-${Math.max(plus!, minus!)}`;
						expect(seen.has(key)).toBe(false);
						seen.add(key);
					}
				}
			}
		}
	});

	test.each<[number, PairRule, RegExp]>([
		[15, "opposite", /even number of electrodes/],
		[16, "skip-8", /skip-8 is not possible with 16/],
		[3, "adjacent", /4 to 1024 electrodes/],
	])("%d electrodes cannot do %s", (electrodes, rule, message) => {
		expect(() => createPattern(electrodes, rule)).toThrow(message);
	});

	test.each([
		["adjacent", true],
		["skip-12", true],
		["skip-", false],
		["skip-1x", false],
		["skip--1", false],
		["", false],
	])("'%s' is a rule: %s", (name, is) => {
		expect(isPairRule(name)).toBe(is);
	});
});

// N(N−1)/2, the number of pairs of N electrodes, which is also the most readings that can be independent.
test.each([
	[8, 28],
	[16, 120],
	[32, 496],
])("two-terminal with %d electrodes reads all %d pairs", (electrodes, pairs) => {
	const pattern = createPattern(electrodes, "adjacent", "two-terminal");
	expect(countOf(pattern)).toBe(pairs);
	for (const [source, sink, plus, minus] of rowsOf(pattern)) {
		expect([plus, minus]).toEqual([source, sink]);
		expect(source).toBeLessThan(sink!);
	}
	expect(findReciprocalPairs(pattern).count).toBe(0);
});

describe("explicit rows", () => {
	test("are kept in their order", () => {
		const rows = [
			[0, 2, 3, 4],
			[5, 1, 3, 0],
		];
		expect(rowsOf(patternFromRows("mine", 8, rows))).toEqual(rows);
	});

	test.each([
		[[[0, 1, 2]], /row 0 needs source, sink, plus and minus/],
		[[[0, 1, 2, 8]], /row 0 names electrode 8; there are 0 to 7/],
		[[[0, 1, 2, 0.5]], /names electrode 0.5/],
		[
			[
				[0, 1, 2, 3],
				[4, 4, 2, 3],
			],
			/row 1 drives electrode 4 against itself/,
		],
		[[[0, 1, 2, 2]], /row 0 reads electrode 2 against itself/],
	])("%j are refused", (rows, message) => {
		expect(() => patternFromRows("mine", 8, rows)).toThrow(message);
	});
});

describe("reciprocal pairs", () => {
	test("know which way round each of the two runs", () => {
		const { count, first, second, sign } = findReciprocalPairs(
			patternFromRows("mine", 8, [
				[0, 1, 2, 3],
				[3, 2, 0, 1],
				[4, 5, 6, 7],
				[6, 7, 4, 5],
				[0, 1, 4, 5],
			]),
		);
		expect([count, [...first], [...second], [...sign]]).toEqual([2, [0, 2], [1, 3], [-1, 1]]);
	});

	// Reciprocity holds in any network of conductors, so a random symmetric one is as good as a limb.
	test.each<[PairRule, PairRule]>([
		["adjacent", "adjacent"],
		["skip-2", "skip-2"],
		["skip-3", "adjacent"],
	])("of %s/%s read the same in a symmetric network", (drive, reading) => {
		const L = 16;
		const transfer = Array.from({ length: L }, (_, i) =>
			Array.from({ length: L }, (_, j) => Math.sin(1 + (i + 1) * (j + 1) + (i - j) ** 2)),
		);
		const pattern = createPattern(L, drive, "four-terminal", reading);
		const read = ([source, sink, plus, minus]: number[]) =>
			transfer[source!]![plus!]! -
			transfer[source!]![minus!]! -
			transfer[sink!]![plus!]! +
			transfer[sink!]![minus!]!;
		const values = rowsOf(pattern).map(read);
		const pairs = findReciprocalPairs(pattern);
		for (let i = 0; i < pairs.count; i++) {
			expect(values[pairs.second[i]!]).toBeCloseTo(pairs.sign[i]! * values[pairs.first[i]!]!, 12);
		}
		if (drive === reading) expect(pairs.count).toBe(values.length / 2);
	});
});
