/** A sample of `npm run fuzz`, with seeds of its own. */
import { expect, test } from "vitest";
import { fuzzProfiles, fuzzProtocol } from "../endurance/fuzz-lines.ts";

test.each([1, 2])("100,000 random and mutated lines of the protocol, seed %i", (seed) => {
	const { framesRead, linesRefused } = fuzzProtocol(100_000, seed);
	// Both happen, or the lines were not worth much.
	expect(framesRead).toBeGreaterThan(1000);
	expect(linesRefused).toBeGreaterThan(10_000);
});

test.each([1, 2])("60,000 random and mutated lines of six profiles, seed %i", (seed) => {
	const { framesRead, linesRefused } = fuzzProfiles(60_000, seed);
	expect(framesRead).toBeGreaterThan(1000);
	expect(linesRefused).toBeGreaterThan(10_000);
});
