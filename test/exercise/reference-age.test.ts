import { expect, test } from "vitest";
import { reasonsToRenew } from "../../core/exercise/reference-age.ts";
import { referenceIdOf, referencesInForce } from "../../core/exercise/reference-target.ts";
import { conditions } from "../store/create-care.ts";

// The bound of 90 days is our own; what makes two measurements unsafe to compare is tested with progress.
test.each([
	[90, {}, []],
	[91, {}, ["old"]],
	[1, { circumferenceMetre: 0.54 }, ["limb-changed"]],
	[1, { firstElectrodeDegrees: 3 }, []],
	[1, { firstElectrodeDegrees: 12 }, ["band-moved"]],
	[1, { currentMilliamp: 0.5 }, ["drive-changed"]],
	[100, { regularisation: "laplace gcv" }, ["old", "regularisation-changed"]],
	// other references than itself do not make it old
	[1, { referenceId: 9, hamstringReferenceId: 8 }, []],
])("a reference of %d days is renewed with %j for %j", (days, present, reasons) => {
	expect(reasonsToRenew(conditions, days, present)).toEqual(reasons);
});

test("each region has the reference that aims at it, and the adductors none", () => {
	const taken = (change: number) => ({
		regions: ["vastus-medialis", "hamstrings", "adductors"].map((id) => ({
			id,
			reference: {
				state: "taken",
				rest: { level: 0, noise: 1e-4 },
				change,
				variationPercent: null,
				repeatability: "unknown",
			} as const,
		})),
	});
	const ids = ["vastus-medialis", "hamstrings", "adductors", "rectus-femoris"];
	const changes = (both: Parameters<typeof referencesInForce>[1]) =>
		referencesInForce(ids, both).map((reference) => (reference.state === "taken" ? reference.change : null));
	expect(changes({ quadriceps: taken(0.02), hamstrings: taken(-0.01) })).toEqual([0.02, -0.01, null, null]);
	expect(changes({ quadriceps: taken(0.02), hamstrings: null })).toEqual([0.02, null, null, null]);
	const both = { referenceId: 3, hamstringReferenceId: 4 };
	expect(ids.map((id) => referenceIdOf(both, id))).toEqual([3, 4, null, 3]);
});
