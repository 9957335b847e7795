import { sentenceOf } from "../../core/invalid-input.ts";
import type { PriorName } from "../../core/picture/prior.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import {
	buildRecordingModels,
	type PictureGroup,
	picturesOf,
} from "../../core/picture/recording-pictures.ts";
import { listsOfCurve, type StrengthRule } from "../../core/picture/strength.ts";
import { readJsonFile } from "./read-json-file.ts";
import type { Outcome, Verb } from "./verb.ts";

const priors: readonly PriorName[] = ["diagonal", "laplace"];
const rules: readonly StrengthRule[] = ["noise-figure", "gcv", "l-curve"];

/** Pictures every frame of a recording file: cell centroids (m) and areas (m²), and per frame the conductivity change
 *  of each cell and the means of the setup's named regions. */
export const picture: Verb = {
	usage:
		`tautline picture FILE.json [--prior ${priors.join("|")}] [--rule ${rules.join("|")}] [--lambda NUMBER] ` +
		"[--movement off|on] [--without ELECTRODE,… (from 0)]",
	options: {
		prior: { type: "string", default: "diagonal" },
		rule: { type: "string", default: "noise-figure" },
		lambda: { type: "string" },
		movement: { type: "string", default: "off" },
		without: { type: "string", default: "" },
	},
	async run(values, positionals): Promise<Outcome> {
		const prior = priors.find((name) => name === values.prior);
		if (prior === undefined)
			return { exitCode: 2, message: `--prior: expected ${priors.join(" or ")}, got '${values.prior}'` };
		const rule = rules.find((name) => name === values.rule);
		if (rule === undefined)
			return { exitCode: 2, message: `--rule: expected ${rules.join(" or ")}, got '${values.rule}'` };
		const lambda = values.lambda === undefined ? undefined : Number(values.lambda);
		if (lambda !== undefined && !(lambda > 0 && lambda < Number.POSITIVE_INFINITY))
			return { exitCode: 2, message: `--lambda: expected a number above zero, got '${values.lambda}'` };
		const movement = values.movement ?? "off";
		if (movement !== "off" && movement !== "on")
			return { exitCode: 2, message: `--movement: expected off or on, got '${movement}'` };
		const without = (values.without ?? "").split(",").filter((text) => text !== "");
		const file = await readJsonFile(positionals, "recording");
		if (!file.ok) return file.error;
		const { path, input } = file.value;
		const recording = parseRecording(input);
		if (!recording.ok) return { exitCode: 1, message: `${path}: ${sentenceOf(recording.error)}` };
		const { electrodeCount } = recording.value.setup.pattern;
		const unknown = without.find((text) => !(/^\d+$/.test(text) && Number(text) < electrodeCount));
		if (unknown !== undefined) {
			const expected = `expected electrodes from 0 to ${electrodeCount - 1}, divided by commas`;
			return { exitCode: 2, message: `--without: ${expected}, got '${unknown}'` };
		}
		let groups: PictureGroup[];
		try {
			groups = buildRecordingModels(recording.value, {
				prior,
				rule,
				...(lambda !== undefined && { lambda }),
				allowsMovement: movement === "on",
				without: without.map(Number),
			});
		} catch (error) {
			if (error instanceof RangeError) return { exitCode: 1, message: `${path}: ${error.message}` };
			throw error;
		}
		const pictures = groups.flatMap((group) =>
			Array.from(picturesOf(group, recording.value), (made) => ({ ...made, group })),
		);
		const byId = new Map(pictures.map((made) => [made.id, made]));
		const { model } = groups[0]!;
		const { cellCentres, cellAreas } = model.geometry;
		const output = {
			x: Array.from(cellAreas, (_, k) => cellCentres[2 * k]),
			y: Array.from(cellAreas, (_, k) => cellCentres[2 * k + 1]),
			area: Array.from(cellAreas),
			lambda: model.lambda,
			noiseFigure: model.noiseFigure,
			unit: model.unit,
			prior,
			rule,
			// frames of another rest have a model of their own; the top names the first
			models: groups.map(({ rest, model: { lambda, noiseFigure, readingScale, curve }, frames }) => ({
				rest,
				lambda,
				noiseFigure,
				readingScale,
				curve: { ...listsOfCurve(curve), choices: curve.choices },
				frames: frames.map(({ id }) => id),
			})),
			frames: Object.fromEntries(
				recording.value.frames.map(({ id }) => {
					const made = byId.get(id)!;
					const names = made.group.model.trendRegions;
					const regions = Object.fromEntries(names.map(({ id: name }, i) => [name, made.regionMeans[i]]));
					return [id, { change: Array.from(made.change), regions, leftOut: made.group.leftOut }];
				}),
			),
		};
		for (const { leftOut, frames } of groups) {
			if (leftOut.length === 0) continue;
			const ids = frames.map(({ id }) => id).join(", ");
			process.stderr.write(`frames ${ids}: pictured without electrodes ${leftOut.join(", ")} (from 0)\n`);
		}
		process.stdout.write(`${JSON.stringify(output)}\n`);
		return { exitCode: 0 };
	},
};
