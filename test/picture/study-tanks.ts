/** Position errors on many simulated tanks, for each prior and rule: `node test/picture/study-tanks.ts [frames]`. What
 *  noise figure, straightening and exponent were chosen by; takes minutes, so no part of the tests. */
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import { scoreRecording } from "../outside/tank-score.ts";
import { simulateTank } from "./simulated-tank.ts";

const frames = Number(process.argv[2] ?? 300);

for (const electrodeCount of [16, 32] as const) {
	const recording = simulateTank({ electrodeCount, frames, seed: 2024 });
	for (const prior of ["diagonal", "laplace"] as const) {
		for (const rule of ["noise-figure", "gcv", "l-curve"] as const) {
			const [group] = buildRecordingModels(recording, { prior, rule });
			const score = scoreRecording(group!, picturesOf(group!, recording), 0.05, 0.14);
			process.stdout.write(
				`${electrodeCount} electrodes, ${prior}, ${rule}: λ ${group!.model.lambda.toPrecision(3)}, noise figure ` +
					`${group!.model.noiseFigure.toFixed(2)}, found ${score.found} of ${score.targets}, median ` +
					`${score.medianPercent.toFixed(2)} %, 90th ${score.ninetiethPercent.toFixed(2)} % of the radius\n`,
			);
		}
	}
}
