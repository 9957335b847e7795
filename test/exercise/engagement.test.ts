import { describe, expect, test } from "vitest";
import { engagementPercent } from "../../core/exercise/engagement.ts";

describe("engagement", () => {
	// 100·(x − rest)/(reference − rest), Besomi et al. 2020; worked: rest 10, reference 110, x 60 is 50 %.
	test("is the change as a share of the reference, whichever sign it had", () => {
		expect(engagementPercent(60, 10, 110)).toBe(50);
		expect(engagementPercent(-60, -10, -110)).toBe(50);
		expect(engagementPercent(-10, 10, 110)).toBe(-20);
		expect(() => engagementPercent(1, 10, 10)).toThrow(RangeError);
	});
});
