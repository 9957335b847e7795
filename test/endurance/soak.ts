/** `npm run soak`: an hour of 60 frames/s of 928 readings with 1 % of faults, as fast as it goes (`-- MINUTES`). */
import { soakLink } from "./soak-link.ts";

const minutes = Number(process.argv[2] ?? 60);
if (!(minutes > 0)) throw new RangeError("npm run soak -- [minutes]");
const began = performance.now();
const figures = await soakLink(Math.round(minutes * 3600), (done) =>
	process.stderr.write(`${done} frames\n`),
);
const seconds = Math.round((performance.now() - began) / 1000);
process.stdout.write(`${JSON.stringify({ seconds, ...figures }, null, "\t")}\n`);
const isSound =
	figures.stored === figures.arrivedWhole && figures.differing === 0 && (figures.heapGrowthPercent ?? 0) <= 5;
process.exitCode = isSound ? 0 : 1;
