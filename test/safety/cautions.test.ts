import { expect, test } from "vitest";
import { cautions } from "../../core/safety/cautions.ts";

// Topics: Houghton et al., Physiotherapy Canada 62(5), 2010, for skin, thrombosis and epilepsy; the others are common
// practice without a source.
test.each([
	"implanted-device",
	"pregnancy",
	"skin",
	"thrombosis",
	"metal",
	"charging",
	"other-equipment",
	"epilepsy",
])("the cautions speak of %s", (id) => {
	const caution = cautions.items.find((item) => item.id === id);
	expect(caution?.advice).toMatch(/\.$/);
});

test("the notice says that it is not a diagnosis, and the end says when to stop", () => {
	expect(cautions.notice).toContain("not a diagnosis");
	expect(cautions.stop).toContain("take the band off");
	expect(cautions.version).toBeGreaterThanOrEqual(1);
});

test("every caution has its own name", () => {
	expect(new Set(cautions.items.map((item) => item.id)).size).toBe(cautions.items.length);
});
