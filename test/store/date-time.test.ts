import { expect, test } from "vitest";
import { toRfc3339 } from "../../app/store/date-time.ts";

// RFC 3339, section 5.8, gives these moments: 1985-04-12T23:20:50.52Z and 1996-12-19T16:39:57-08:00.
test.each([
	[Date.UTC(1985, 3, 12, 23, 20, 50, 520), 0, "1985-04-12T23:20:50.520+00:00"],
	[Date.UTC(1996, 11, 20, 0, 39, 57), -480, "1996-12-19T16:39:57.000-08:00"],
	[Date.UTC(2025, 11, 31, 23, 30), 345, "2026-01-01T05:15:00.000+05:45"],
	[Date.UTC(2026, 0, 1, 0, 10), -210, "2025-12-31T20:40:00.000-03:30"],
])("writes local time with its offset", (moment, offset, text) => {
	expect(toRfc3339(moment, offset)).toBe(text);
	expect(Date.parse(text)).toBe(moment);
});

test("takes the machine's own offset when none is given", () => {
	const moment = Date.UTC(2026, 5, 15, 12);
	expect(Date.parse(toRfc3339(moment))).toBe(moment);
});
