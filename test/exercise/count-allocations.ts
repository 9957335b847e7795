/** `node --expose-gc --max-semi-space-size=128 test/exercise/count-allocations.ts`: bytes that the counter allocates per
 *  call at rest and within holds, as JSON. The young generation is made large, so that nothing is collected meanwhile. */
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";

const collect = (globalThis as { gc?: () => void }).gc;
if (collect === undefined) throw new Error("count allocations: run it with --expose-gc");
const counter = createRepetitionCounter({
	rest: { level: 0, noise: 0.01 },
	referenceChange: 1,
	target: null,
	learned: null,
	longestSeconds: 60,
});
const CALLS = 150_000;
const PER_SECOND = 30;
const rest = Float64Array.from({ length: CALLS }, (_, i) => 0.012 * Math.sin(12.9898 * i));
/** Holds of 50 s every minute. */
const work = rest.map((value, i) => value + ((i / PER_SECOND) % 60 < 50 ? 0.8 : 0));
let time = 0;
let seen = 0;

function bytesPerCall(values: Float64Array): number {
	collect!();
	const before = process.memoryUsage().heapUsed;
	for (let i = 0; i < CALLS; i++) {
		time += 1 / PER_SECOND;
		counter.add(time, values[i]!);
		seen += counter.fullCount + (counter.isActive ? 1 : 0);
	}
	return (process.memoryUsage().heapUsed - before) / CALLS;
}

// The first runs are compiled meanwhile, which takes room of its own, on some runs later than on others.
const runs = Array.from({ length: 5 }, () => ({ rest: bytesPerCall(rest), work: bytesPerCall(work) }));
const least = (kind: "rest" | "work") => Math.min(...runs.map((run) => run[kind]));
process.stdout.write(`${JSON.stringify({ rest: least("rest"), work: least("work"), seen })}\n`);
