/** Half a minute of `npm run soak`. */
import { expect, test } from "vitest";
import { soakLink } from "../endurance/soak-link.ts";

test("everything that arrives whole through a faulty line is stored as it was sent", async () => {
	const figures = await soakLink(1800);
	expect(figures.arrivedWhole).toBeLessThan(1800);
	expect(figures).toMatchObject({
		parsed: figures.arrivedWhole,
		stored: figures.arrivedWhole,
		differing: 0,
		toldLost: figures.reallyLost,
	});
});
