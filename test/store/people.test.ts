import { expect, test } from "vitest";
import type { BandSetup, LimbSetup } from "../../app/contract.ts";
import { createOpenStore, faultOf, unwrap } from "./create-store.ts";

const person = { id: null, code: "P-01", displayName: "Invented Person", affectedSide: "left" } as const;
const limb: LimbSetup = {
	side: "left",
	outline: { type: "ellipse", a: 0.085, b: 0.08 },
	fatThickness: 0.009,
	level: 0.5,
};
const band: BandSetup = {
	name: "Band 16",
	electrodeCount: 16,
	electrodeWidth: 0.02,
	firstElectrodeDegrees: 0,
	direction: "anticlockwise",
	positions: null,
};

test("saves a person, then changes it under the same number", () => {
	const { store } = createOpenStore();
	const saved = unwrap(store.savePerson(person));
	expect(saved).toEqual({ ...person, id: saved.id, sessionCount: 0, archived: false });
	const changed = unwrap(
		store.savePerson({ ...person, id: saved.id, affectedSide: "both", displayName: null }),
	);
	expect(changed).toEqual({ ...saved, affectedSide: "both", displayName: null });
	expect(unwrap(store.listPeople())).toEqual([changed]);
});

test("refuses a code that another person has, and a person who is not there", () => {
	const { store } = createOpenStore();
	unwrap(store.savePerson(person));
	expect(faultOf(store.savePerson(person))).toMatchObject({
		kind: "invalid-argument",
		path: "code",
		got: "P-01",
	});
	expect(faultOf(store.savePerson({ ...person, id: 77, code: "P-02" }))).toEqual({
		kind: "no-such-record",
		what: "person",
		id: 77,
	});
	expect(unwrap(store.listPeople())).toHaveLength(1);
});

test.each([
	["capitals", "p-01"],
	["how a letter is put together", "Ü-1", "U\u0308-1"],
	["what is not seen", "P-\u200b01"],
])("does not tell two people apart by %s", (_, code, other = "P-01") => {
	const { store } = createOpenStore();
	const first = unwrap(store.savePerson({ ...person, code: other }));
	expect(faultOf(store.savePerson({ ...person, code }))).toMatchObject({ path: "code", got: other });
	// one's own may be written another way
	expect(unwrap(store.savePerson({ ...person, id: first.id, code })).code).toBe(code);
});

test("keeps text as text, whatever it says", () => {
	const { store } = createOpenStore();
	const code = `'); DROP TABLE people; --`;
	unwrap(store.savePerson({ ...person, code }));
	expect(unwrap(store.listPeople()).map((one) => one.code)).toEqual([code]);
});

test("makes a new limb record only when a measurement changed", () => {
	const { store } = createOpenStore();
	const { id } = unwrap(store.savePerson(person));
	const first = unwrap(store.saveLimb(id, limb));
	expect(unwrap(store.saveLimb(id, limb))).toBe(first);
	const thinner: LimbSetup = { ...limb, fatThickness: 0.008 };
	const second = unwrap(store.saveLimb(id, thinner));
	expect(second).not.toBe(first);
	expect(unwrap(store.latestLimb(id))).toEqual(thinner);
	// So is the same thickness, known in another way.
	const folded: LimbSetup = { ...thinner, fatSource: "skinfold" };
	const third = unwrap(store.saveLimb(id, folded));
	expect(third).not.toBe(second);
	expect(unwrap(store.saveLimb(id, folded))).toBe(third);
	expect(unwrap(store.latestLimb(id))).toEqual(folded);
	// Back to the first measurements is a measurement of its own.
	expect(unwrap(store.saveLimb(id, limb))).not.toBe(first);
});

test("keeps limbs of different people, and of nobody, apart", () => {
	const { store } = createOpenStore();
	const { id } = unwrap(store.savePerson(person));
	expect(unwrap(store.latestLimb(null))).toBeNull();
	unwrap(store.saveLimb(null, limb));
	expect(unwrap(store.latestLimb(id))).toBeNull();
	expect(unwrap(store.latestLimb(null))).toEqual(limb);
	expect(faultOf(store.saveLimb(99, limb))).toMatchObject({ kind: "no-such-record", what: "person" });
});

test("makes a new band record only when it differs from the newest of its name", () => {
	const { store } = createOpenStore();
	const first = unwrap(store.saveBand(band));
	expect(unwrap(store.saveBand(band))).toBe(first);
	const positions = Array.from({ length: 16 }, (_, i) => i / 17);
	const second = unwrap(store.saveBand({ ...band, positions }));
	expect(second).not.toBe(first);
	expect(unwrap(store.saveBand({ ...band, positions }))).toBe(second);
});

test("keeps settings of any JSON value, and tells one that was never saved", () => {
	const { store } = createOpenStore();
	expect(unwrap(store.setting("cautions"))).toBeUndefined();
	unwrap(store.saveSetting("cautions", { version: 1, at: "2026-03-01T10:00:00+01:00" }));
	unwrap(store.saveSetting("cautions", { version: 2 }));
	unwrap(store.saveSetting("theme", null));
	expect(unwrap(store.setting("cautions"))).toEqual({ version: 2 });
	expect(unwrap(store.setting("theme"))).toBeNull();
});
