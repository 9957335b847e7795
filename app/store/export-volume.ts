/** Region means of a session's volumes as a table or a document, with what tells how they came about: the versions, the model
 *  and where the bands sat. */
import type { Result } from "../../core/result.ts";
import type { BandPlace, BandSetup, Fault, LimbSetup, VolumePictureGeometry } from "../contract.ts";
import { csvRow, float32Field, textField } from "./csv-fields.ts";
import type { SessionDetail } from "./records.ts";

export interface VolumeMeans {
	readonly detail: SessionDetail;
	readonly limb: LimbSetup;
	/** All bands are alike. */
	readonly band: BandSetup;
	/** [bands] */
	readonly places: readonly BandPlace[];
	readonly frequencyHertz: number;
	readonly algorithmVersion: string;
	/** SHA-256, hexadecimal, of all that the model depends on and the algorithm's version. */
	readonly modelHash: string;
	readonly geometry: Pick<VolumePictureGeometry, "prior" | "rule" | "lambda" | "noiseFigure" | "unit">;
	/** In the order of the means. */
	readonly regions: readonly { readonly id: string; readonly name: string }[];
	/** [n] s since the session's first frame, of the last of the bands' frames that a row is made of. */
	readonly seconds: Float64Array;
	/** [n] its ordinal */
	readonly ordinals: Uint32Array;
	/** [n × regions] row-major, in the geometry's unit */
	readonly means: Float32Array;
	/** Standard deviation of each region's mean at the rest that rows are compared with, from a row on. */
	readonly rests: readonly { readonly row: number; readonly regionNoise: readonly number[] }[];
	/** [bands] numbers, from 1, of the electrodes that rows are made without, from a row on; none before the first. */
	readonly leftOut: readonly { readonly row: number; readonly electrodes: readonly (readonly number[])[] }[];
}

/** Rises when a reader of the present one would misread a new file. */
const SCHEMA_VERSION = 1;
const ROWS_IN_PIECE = 1000;

/** Pieces of the table: a row for each moment at which every band has given a frame. What holds for all rows stands in each,
 *  so that rows cut out of the file still say it. */
export function* volumeTable(volume: VolumeMeans): Generator<Result<string, Fault>> {
	const { detail, geometry, regions, seconds, ordinals, means } = volume;
	const { id, simulated, personCode } = detail.summary;
	const header = [
		"session",
		"simulated",
		"person",
		"frame",
		"session time [s]",
		"electrodes left out [band:number]",
		"volume algorithm",
		"model [SHA-256]",
		...regions.map(({ name }) => textField(`${name} [${geometry.unit}]`)),
	];
	yield { ok: true, value: csvRow(header) };
	const before = [String(id), simulated ? "yes" : "no", textField(personCode ?? "")];
	const after = [textField(volume.algorithmVersion), volume.modelHash];
	let next = 0;
	let leftOut = "";
	for (let first = 0; first < seconds.length; first += ROWS_IN_PIECE) {
		let text = "";
		for (let row = first; row < Math.min(seconds.length, first + ROWS_IN_PIECE); row++) {
			for (; volume.leftOut[next] !== undefined && volume.leftOut[next]!.row <= row; next++)
				leftOut = leftOutText(volume.leftOut[next]!.electrodes);
			const cells = regions.map((_, region) => float32Field(means[row * regions.length + region]!));
			text += csvRow([
				...before,
				String(ordinals[row]!),
				seconds[row]!.toFixed(6),
				leftOut,
				...after,
				...cells,
			]);
		}
		yield { ok: true, value: text };
	}
}

/** Pieces of the document (RFC 8259). A value that is no finite number is null; no name of a person is in it. */
export function* volumeDocument(volume: VolumeMeans, exportedBy: string): Generator<Result<string, Fault>> {
	const { detail, limb, band, places, frequencyHertz, geometry, regions, seconds, ordinals, means } = volume;
	const { personId: _, ...summary } = detail.summary;
	const head = {
		format: "tautline-volume-means",
		schemaVersion: SCHEMA_VERSION,
		simulated: summary.simulated,
		exportedBy,
		units: {
			limb: "m",
			places: "m",
			frequencyHertz: "Hz",
			seconds: "s since the session's first frame",
			regionMeans: geometry.unit,
			regionNoise: `${geometry.unit}, standard deviation at rest`,
		},
		session: summary,
		limb,
		band,
		places,
		frequencyHertz,
		volumeAlgorithm: volume.algorithmVersion,
		model: { sha256: volume.modelHash, ...geometry },
		regions,
		rests: volume.rests,
		leftOut: volume.leftOut,
	};
	yield { ok: true, value: `${JSON.stringify(head).slice(0, -1)},"rows":[` };
	let separator = "\n";
	for (let first = 0; first < seconds.length; first += ROWS_IN_PIECE) {
		let text = "";
		for (let row = first; row < Math.min(seconds.length, first + ROWS_IN_PIECE); row++) {
			const regionMeans = regions.map((_, region) =>
				// shortened to what a float32 tells
				Number(means[row * regions.length + region]!.toPrecision(9)),
			);
			const one = { frame: ordinals[row]!, seconds: seconds[row]!, regionMeans };
			text += separator + JSON.stringify(one);
			separator = ",\n";
		}
		yield { ok: true, value: text };
	}
	yield { ok: true, value: "\n]}\n" };
}

/** Such as `1:4 2:11`. */
function leftOutText(electrodes: readonly (readonly number[])[]): string {
	return electrodes.flatMap((numbers, band) => numbers.map((number) => `${band + 1}:${number}`)).join(" ");
}
