/** `node test/exercise/counting-table.ts [tuning] [wrong]`: how the counter does on simulated sets, by family; with
 *  `wrong`, each set whose count is not exact. */
import { setFamilies } from "../../core/exercise/simulated-sets.ts";
import { countSet, percentileOf, reportSeeds, type SetOutcome, seedsOf, tuningSeeds } from "./count-sets.ts";

const range = process.argv.includes("tuning") ? tuningSeeds : reportSeeds;
const listsWrong = process.argv.includes("wrong");
const outcomes = setFamilies.flatMap((family) => seedsOf(range).map((seed) => countSet(family, seed)));

function row(name: string, sets: readonly SetOutcome[]): string {
	const exact = sets.filter((s) => s.full === s.trueFull).length;
	const both = sets.filter((s) => s.full === s.trueFull && s.partial === s.truePartial).length;
	const onset = sets.flatMap((s) => s.onsetErrors);
	const five = sets.flatMap((s) => s.fivePercentErrors);
	const offset = sets.flatMap((s) => s.offsetErrors);
	const ms = (errors: readonly number[], share: number) =>
		(1000 * percentileOf(errors.map(Math.abs), share)).toFixed(0).padStart(7);
	const within = onset.filter((e) => Math.abs(e) <= 0.15).length / onset.length;
	return [
		name.padEnd(14),
		String(sets.length).padStart(5),
		String(sets.reduce((sum, s) => sum + s.trueFull + s.truePartial, 0)).padStart(6),
		`${((100 * exact) / sets.length).toFixed(1)} %`.padStart(8),
		`${((100 * both) / sets.length).toFixed(1)} %`.padStart(8),
		(1000 * percentileOf(onset, 0.5)).toFixed(0).padStart(7),
		ms(onset, 0.5),
		ms(onset, 0.95),
		`${(100 * within).toFixed(1)} %`.padStart(8),
		ms(five, 0.95),
		ms(offset, 0.95),
	].join(" ");
}

const lines = [
	`seeds ${range.from} to ${range.from + range.perFamily - 1} of each family (thresholds were chosen on seeds ${tuningSeeds.from} to ${tuningSeeds.from + tuningSeeds.perFamily - 1}); every second set without a reference`,
	"                            full   also             onset error (ms)           5 % onset  offset",
	"family          sets   reps   exact  partial    bias  median     p95  ≤150 ms     p95     p95",
	...setFamilies.map((family) =>
		row(
			family,
			outcomes.filter((o) => o.set.family === family),
		),
	),
	row("all", outcomes),
];
process.stdout.write(`${lines.join("\n")}\n`);
if (listsWrong) {
	for (const o of outcomes) {
		if (o.full === o.trueFull && o.partial === o.truePartial) continue;
		process.stdout.write(
			`${o.set.family} ${o.set.seed} ref ${o.hasReference} fps ${o.set.framesPerSecond} noise ${(o.set.noise / Math.abs(o.set.referenceChange)).toFixed(3)}: full ${o.full}/${o.trueFull} partial ${o.partial}/${o.truePartial}\n`,
		);
	}
}
