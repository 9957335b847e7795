/** `npm run verification`: measures every check and writes the table; fails when one does not hold. */
import { writeFileSync } from "node:fs";
import { chapters } from "./registry.ts";
import { passes, verificationTable } from "./table.ts";

let failed = 0;
const results = new Map(
	chapters.flatMap(({ checks }) =>
		checks.map((check) => {
			const result = check.measure();
			if (!passes(check, result)) failed++;
			process.stderr.write(
				`${passes(check, result) ? "holds" : "FAILS"} ${result.toPrecision(3)}: ${check.what}\n`,
			);
			return [check, result] as const;
		}),
	),
);
const table = verificationTable((check) => results.get(check)!);
writeFileSync(new URL("README.md", import.meta.url), table);
process.exitCode = failed === 0 ? 0 : 1;
