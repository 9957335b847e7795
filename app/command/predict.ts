import { sentenceOf } from "../../core/invalid-input.ts";
import { predictFile } from "../../core/volume/predict-file.ts";
import { readJsonFile } from "./read-json-file.ts";
import type { Outcome, Verb } from "./verb.ts";

/** Prints the voltages that a case's readings would show: `{"voltages":[…]}`, V. */
export const predict: Verb = {
	usage: "tautline predict CASE.json",
	options: {},
	async run(_values, positionals): Promise<Outcome> {
		const file = await readJsonFile(positionals, "case");
		if (!file.ok) return file.error;
		const { path, input } = file.value;
		const voltages = predictFile(input);
		if (!voltages.ok) return { exitCode: 1, message: `${path}: ${sentenceOf(voltages.error)}` };
		process.stdout.write(`${JSON.stringify({ voltages: Array.from(voltages.value) })}\n`);
		return { exitCode: 0 };
	},
};
