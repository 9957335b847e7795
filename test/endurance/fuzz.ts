/** `npm run fuzz`: ten million random and mutated lines through the readers of lines (`-- N SEED`: as many as N). */
import { fuzzProfiles, fuzzProtocol } from "./fuzz-lines.ts";

const lines = Number(process.argv[2] ?? 10_000_000);
const seed = Number(process.argv[3] ?? Date.now() % 2 ** 31);
if (!(Number.isInteger(lines) && lines > 0 && Number.isInteger(seed))) {
	throw new RangeError("npm run fuzz -- [number of lines] [seed]");
}
const began = performance.now();
const protocol = fuzzProtocol(Math.ceil(lines / 2), seed);
const profiles = fuzzProfiles(Math.ceil(lines / 2), seed);
const seconds = Math.round((performance.now() - began) / 100) / 10;
process.stdout.write(`${JSON.stringify({ seed, seconds, protocol, profiles }, null, "\t")}\n`);
