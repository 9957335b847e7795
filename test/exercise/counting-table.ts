/** `node test/exercise/counting-table.ts [tuning] [wrong]`: how the counter does on simulated sets, by kind, frame rate,
 *  noise and sign; with `wrong`, each set whose count is not exact. */
import {
	allSets,
	countSet,
	type Errors,
	isExact,
	isExactWithPartial,
	percentileOf,
	reportSeeds,
	type SetOutcome,
	tuningSeeds,
} from "./count-sets.ts";

const seeds = process.argv.includes("tuning") ? tuningSeeds : reportSeeds;
const byKind = new Map([...allSets(seeds)].map(([kind, sets]) => [kind, sets.map(countSet)]));
const all = [...byKind.values()].flat();

function percentOf(part: number, whole: number): string {
	return ((100 * part) / whole).toFixed(1).padStart(6);
}

function row(name: string, sets: readonly SetOutcome[]): string {
	const errors = sets.flatMap((set) => set.errors);
	const of = (which: keyof Errors) =>
		errors.map((error) => Math.abs(error[which])).filter((error) => !Number.isNaN(error));
	const ms = (which: keyof Errors, share: number) =>
		(1000 * percentileOf(of(which), share)).toFixed(0).padStart(7);
	const onset = of("onset");
	return [
		name.padEnd(20),
		String(sets.length).padStart(4),
		String(sets.reduce((sum, s) => sum + s.trueFull + s.truePartial, 0)).padStart(6),
		percentOf(sets.filter(isExact).length, sets.length),
		percentOf(sets.filter(isExactWithPartial).length, sets.length),
		(
			1000 *
			percentileOf(
				errors.map((error) => error.onset),
				0.5,
			)
		)
			.toFixed(0)
			.padStart(6),
		ms("onset", 0.5),
		ms("onset", 0.95),
		ms("onset", 1),
		percentOf(onset.filter((error) => error <= 0.15).length, onset.length),
		ms("begin", 0.95),
		ms("offset", 0.95),
		ms("holdTime", 0.95),
		ms("timeToPeak", 0.95),
	].join(" ");
}

const noiseOf = ({ set }: SetOutcome) => set.restDeviation / Math.abs(set.referenceChange);

function rowsBy(name: string, keyOf: (outcome: SetOutcome) => string): string[] {
	const keys = [...new Set(all.map(keyOf))].sort((a, b) => Number.parseFloat(a) - Number.parseFloat(b));
	return keys.map((key) =>
		row(
			`${name}${key}`,
			all.filter((outcome) => keyOf(outcome) === key),
		),
	);
}

const lines = [
	`Seeds ${seeds.from} to ${seeds.from + seeds.perKind - 1} of each kind; thresholds were chosen on ${tuningSeeds.from} to ${tuningSeeds.from + tuningSeeds.perKind - 1} only.`,
	"Onset: where the change without noise passes one deviation of rest; begin: where its curve begins.",
	"1: test/exercise/simulated-sets.ts, 2: test/exercise/force-curve-sets.ts. Times in ms, errors without sign but for bias.",
	"",
	"                                 count exact, %    onset error                          begin  offset    hold to peak",
	"kind                 sets   reps   full partial   bias  median     p95   worst ≤150 %     p95     p95     p95     p95",
	...[...byKind].map(([kind, sets]) => row(kind, sets)),
	"",
	...rowsBy("frames/s ", ({ set }) => String(set.framesPerSecond)),
	...rowsBy("noise ", (outcome) =>
		noiseOf(outcome) < 0.01 ? "0 to 1 %" : noiseOf(outcome) < 0.025 ? "1 to 2.5 %" : "2.5 to 6 %",
	),
	...rowsBy("", ({ set }) => (set.referenceChange > 0 ? "signal rises" : "signal falls")),
	...rowsBy("", ({ hasReference }) => (hasReference ? "with reference" : "without reference")),
	row("all", all),
];
process.stdout.write(`${lines.join("\n")}\n`);
if (process.argv.includes("wrong")) {
	for (const [kind, sets] of byKind) {
		for (const o of sets.filter((outcome) => !isExactWithPartial(outcome))) {
			process.stdout.write(
				`${kind} ${o.set.seed} ${o.set.repetitions[0]!.curve} ref ${o.hasReference} fps ${o.set.framesPerSecond} noise ${noiseOf(o).toFixed(3)}: full ${o.full}/${o.trueFull} partial ${o.partial}/${o.truePartial} unended ${o.unended}\n`,
			);
		}
	}
}
