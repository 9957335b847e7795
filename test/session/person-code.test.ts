import { expect, test } from "vitest";
import { isPlainLine, requestSchemas } from "../../app/contract.ts";

const person = { id: null, displayName: null, affectedSide: "left" } as const;

test.each(["P-01", "Ü 7/b", "患者-3", "'); DROP TABLE people; --"])("a code may be %j", (code) => {
	expect(requestSchemas.savePerson.parse({ ...person, code }).code).toBe(code);
});

// Unicode's general categories Cc, Zl and Zp, and the bidirectional controls of Unicode Standard Annex 9, section 2.
test.each([
	"P\u00001",
	"P\t1",
	"P\n1",
	"P\u001b[31m",
	"P\u007f",
	"P\u0085",
	"P\u20281",
	"P\u20291",
	"P\u202e1",
	"P\u20661",
])("a code is not %j", (code) => {
	expect(isPlainLine(code)).toBe(false);
	expect(requestSchemas.savePerson.safeParse({ ...person, code }).success).toBe(false);
});
