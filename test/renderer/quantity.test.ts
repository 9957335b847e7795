import { describe, expect, test } from "vitest";
import {
	digitsFor,
	formatAge,
	formatChange,
	formatClock,
	formatCount,
	formatDateTime,
	formatFrequency,
	formatQuantity,
} from "../../renderer/text/quantity.ts";

/** Our no-break space and minus sign, written so that a reader can tell them from a space and a hyphen. */
function plain(text: string): string {
	return text.replaceAll("\u00a0", " ").replaceAll("\u2212", "-");
}

describe("a change", () => {
	test.each([
		[0.0123, "+12.3 mS/m"],
		[-0.0123, "-12.3 mS/m"],
		[0.1234, "+123 mS/m"],
		[0.00042, "+0.42 mS/m"],
		[0, "0.0 mS/m"],
		[-0.00000001, "0.0 mS/m"],
		[null, "– mS/m"],
		[Number.NaN, "– mS/m"],
		[Infinity, "– mS/m"],
	])("of %d S/m reads %s", (value, text) => {
		expect(plain(formatChange(value, "S/m"))).toBe(text);
	});

	test("without a true background is in percent of it", () => {
		expect(plain(formatChange(0.034, "relative"))).toBe("+3.4 % of background");
	});

	test("never reads as minus zero", () => {
		expect(plain(formatChange(-0.00004, "S/m", { digits: 1 }))).toBe("0.0 mS/m");
	});

	test.each([
		[0.02, "20"],
		[-0.01, "-10"],
		[0.0005, "0.5"],
		[0, "0"],
	])("on an axis has no needless digits: %d", (value, text) => {
		expect(plain(formatChange(value, "S/m", { withUnit: false, tick: true }))).toBe(text);
	});

	test("keeps its decimals while figures change in place", () => {
		expect(
			[0.0001, 0.0012, 0.0156].map((value) =>
				plain(formatChange(value, "S/m", { digits: digitsFor(0.02, "S/m") })),
			),
		).toEqual(["+0.1 mS/m", "+1.2 mS/m", "+15.6 mS/m"]);
	});
});

test.each([
	[0, "0:00"],
	[7.9, "0:07"],
	[61, "1:01"],
	[3723, "1:02:03"],
	[-5, "-0:05"],
	[59.9999999, "1:00"],
	[Number.NaN, "–:––"],
])("%d s on the clock reads %s", (seconds, text) => {
	expect(plain(formatClock(seconds))).toBe(text);
});

test.each([
	[0, "just now"],
	[12, "12 s ago"],
	[125, "2 min ago"],
	[7500, "2 h 5 min ago"],
])("%d s back reads %s", (seconds, text) => {
	expect(plain(formatAge(seconds))).toBe(text);
});

test.each([
	[7, "7"],
	[1234, "1 234"],
	[1234567, "1 234 567"],
])("%d is grouped by thousands", (count, text) => {
	expect(plain(formatCount(count))).toBe(text);
});

test("quantities have their unit and a true minus", () => {
	expect(plain(formatQuantity(-0.04, 1, "mA"))).toBe("0.0 mA");
	expect(plain(formatQuantity(0.8, 2, "mA"))).toBe("0.80 mA");
	expect(plain(formatQuantity(Number.NaN, 1, "dB"))).toBe("– dB");
	expect(plain(formatFrequency(50000))).toBe("50 kHz");
	expect(plain(formatFrequency(12500))).toBe("12.5 kHz");
});

test("a time is shown in the reader's zone, and what is no time as it came", () => {
	expect(formatDateTime("2026-03-04T09:15:30.250+01:00", "Europe/Berlin")).toBe("4 Mar 2026, 09:15");
	expect(formatDateTime("soon")).toBe("soon");
});
