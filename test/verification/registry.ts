/**
 * Every check of the software against something outside of it that can be put into one number: what is compared, with
 * what source, within what tolerance. `npm run verification` measures them all and writes `README.md` beside this file.
 */
import { createPattern } from "../../core/band/patterns.ts";
import { USUAL_FAT } from "../../core/limb/fat.ts";
import { predictCase } from "../../core/physics/predict-case.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import { figuresOfMerit } from "../../core/picture/figures-of-merit.ts";
import { meritAlongRadius } from "../../core/picture/merit-along-radius.ts";
import { buildPictureModel, meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { parseRecording, type Recording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";
import { WANTED_WITHIN, wantedMerit } from "../../core/picture/wanted-merit.ts";
import { predictFile } from "../../core/volume/predict-file.ts";
import { discCases, errorOnDisc } from "../outside/disc-cases.ts";
import { readCase, readReferenceCase, relativeError } from "../outside/forward-cases.ts";
import { positionErrors, scoreOf, type TankScore } from "../outside/tank-score.ts";
import { discEigenvalue } from "../physics/disc-oracle.ts";
import { lastDigitsOff, printedTissue } from "../physics/printed-tissue.ts";
import { createDiscSubject } from "../picture/create-disc.ts";
import {
	CYLINDER_TOLERANCE,
	errorOnCylinder,
	hardCylinders,
	quickCylinders,
} from "../volume/cylinder-cases.ts";
import { errorOfMove, movesOfCylinder } from "../volume/moved-cylinder.ts";
import { createThighSubject, energyMismatch } from "./energy-balance.ts";
import { readJson } from "./read-json.ts";

export interface Check {
	/** What is compared with what. */
	readonly what: string;
	readonly source: string;
	/** The result may be at most this. */
	readonly tolerance: number;
	readonly unit: "relative" | "% of the radius" | "last digits" | "targets missed" | "absolute";
	measure(): number;
}

const FREEFEM =
	"FreeFEM 4.11, quadratic triangles graded to the electrode edges; own error 2e-6 (`test/outside/data`)";
const ISAACSON = "Isaacson, IEEE Trans. Med. Imaging 5:91, 1986";
const CEM = "complete electrode model: Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992";
const CONSENSUS = "Adler et al., Physiol. Meas. 30:S35, 2009 (definitions from memory)";
const ARCHIVE_16 = "Open 2D EIT data archive, arXiv:1704.01178, 2017; positions ±5 % of the radius";
const ARCHIVE_32 = "Kuopio Tomography Challenge 2023, Zenodo 8252370";

function predicted(input: ReturnType<typeof readCase>): Float64Array {
	const voltages = predictCase(input);
	if (!voltages.ok) throw new Error(voltages.error.got);
	return voltages.value;
}

function againstReference(name: string): Check {
	return {
		what: `Voltages of \`${name}\`, 208 readings`,
		source: FREEFEM,
		tolerance: 3e-4,
		unit: "relative",
		measure() {
			const reference = readReferenceCase(name);
			return relativeError(predicted(reference), reference.voltages);
		},
	};
}

const forward: readonly Check[] = [
	againstReference("disc-homogeneous-z1e-3"),
	againstReference("disc-homogeneous-z1e-2"),
	againstReference("disc-background-for-inclusion"),
	againstReference("disc-offcentre-inclusion"),
	againstReference("disc-concentric"),
	{
		what: "Eigenvalues λ₁, λ₂ of a disc with an inclusion of half the radius and twice the conductivity: 11/13, 23.5/49",
		source: ISAACSON,
		tolerance: 1e-12,
		unit: "absolute",
		measure() {
			const disc = { radius: 1, sigma: 1, layers: [{ radius: 0.5, sigma: 2 }] };
			return Math.max(
				Math.abs(discEigenvalue(disc, 1) - 11 / 13),
				Math.abs(discEigenvalue(disc, 2) - 23.5 / 49),
			);
		},
	},
	{
		what: "Voltages of a uniform disc whose electrodes shrink to points",
		source: "potential of point sources by their mirror images, −ln(d)/(πσ)",
		tolerance: 1e-3,
		unit: "relative",
		measure() {
			const input = readCase({
				dimension: 2,
				outline: { type: "circle", radius: 1 },
				electrodes: { count: 16, width: 0.02, firstAngleDeg: 0 },
				contactImpedance: 1e-3,
				background: { sigma: 1 },
				drive: "adjacent",
				current: 1,
			});
			const chord = (a: number, b: number) => 2 * Math.sin((Math.PI * Math.abs(a - b)) / 16);
			const points = Float64Array.from({ length: 13 }, (_, i) => {
				const k = i + 2;
				return Math.log((chord(k, 1) * chord(k + 1, 0)) / (chord(k, 0) * chord(k + 1, 1))) / Math.PI;
			});
			return relativeError(predicted(input).subarray(0, 13), points);
		},
	},
	{
		what: "Voltages of a cylinder with two bands of 16 electrodes (3D), 928 readings",
		source: "FreeFEM 4.11, quadratic tetrahedra; own error 3e-4 (`test/outside/data`)",
		tolerance: 1e-2,
		unit: "relative",
		measure() {
			const input = readJson("cylinder-two-bands") as { voltages: number[] };
			const voltages = predictFile(input);
			if (!voltages.ok) throw new Error(JSON.stringify(voltages.error));
			return relativeError(voltages.value, Float64Array.from(input.voltages));
		},
	},
	{
		what: "Reciprocity: driving and reading swapped, thigh with fat and bone",
		source: "Geselowitz, IEEE Trans. Biomed. Eng. 18:38, 1971",
		tolerance: 1e-9,
		unit: "relative",
		measure() {
			const subject = createThighSubject();
			const mesh = meshSubject(subject);
			const { transfer } = createMeshSolver(mesh).solve(restSigma(subject, mesh), subject.contactImpedance);
			let largest = 0;
			let difference = 0;
			for (let a = 0; a < 16; a++) {
				for (let b = 0; b < 16; b++) {
					largest = Math.max(largest, Math.abs(transfer[a * 16 + b]!));
					difference = Math.max(difference, Math.abs(transfer[a * 16 + b]! - transfer[b * 16 + a]!));
				}
			}
			return difference / largest;
		},
	},
	{
		what: "Energy: what a drive puts in is lost in tissue and contacts, thigh with fat and bone",
		source: `energy balance of the ${CEM}`,
		tolerance: 1e-9,
		unit: "relative",
		measure: energyMismatch,
	},
];

/** What is hard for a mesh: thin fat, wide and narrow electrodes, very good and very poor contact, ends and layers. */
const boundary: readonly Check[] = [
	...discCases.map(
		({ name, disc, degree, tolerance }): Check => ({
			what: `Disc: ${name}`,
			source: `closed form: ${ISAACSON}, with Legendre polynomials under each electrode`,
			tolerance,
			unit: "relative",
			measure: () => errorOnDisc(disc, degree),
		}),
	),
	...[...quickCylinders, ...hardCylinders].map(
		([name, change, degree]): Check => ({
			what: `Cylinder (3D): ${name}`,
			source:
				"Fourier, cosine and Bessel series (Jackson, Classical Electrodynamics, 3.7–3.8); shares no code",
			tolerance: CYLINDER_TOLERANCE,
			unit: "relative",
			measure: () => errorOnCylinder(change, degree),
		}),
	),
	...movesOfCylinder.map(
		([name, slides, tolerance]): Check => ({
			what: `Cylinder (3D) with fat and bone, change of readings as ${name}`,
			source: "Bodies of one cross-section, exact along the axis, themselves checked in the rows above",
			tolerance,
			unit: "relative",
			measure: () => errorOfMove(slides),
		}),
	),
];

const tissue: readonly Check[] = [
	{
		what: "Fat that is assumed where none was measured, against 10.4 ± 4.1 mm over the front of the thigh, m",
		source: "Mechelli, JCSM Clin. Rep. 4(2)",
		tolerance: 4.1e-3,
		unit: "absolute",
		measure: () => Math.abs(USUAL_FAT - 0.0104),
	},
	{
		what: "Conductivity and permittivity of muscle, fat, bone and skin at 10 and 100 kHz by the four-term Cole–Cole model",
		source:
			"model: Gabriel, Lau & Gabriel, Phys. Med. Biol. 41:2271, 1996; printed values: BioMed. Eng. OnLine 2018, s12938-018-0473-9, table 3",
		tolerance: 1,
		unit: "last digits",
		measure: () => Math.max(...printedTissue.flatMap(lastDigitsOff)),
	},
];

const merit: readonly Check[] = [
	{
		what: "Figures of merit of an ideal disc of 0.2 at (0.5, 0) on 64 × 64 pixels: RES 0.196, SD 0.032, PE 0, RNG 0",
		source: CONSENSUS,
		tolerance: 1e-3,
		unit: "absolute",
		measure() {
			const places = Array.from({ length: 64 * 64 }, (_, i) => [
				(2 * (i % 64) + 1) / 64 - 1,
				(2 * Math.floor(i / 64) + 1) / 64 - 1,
			]).filter(([x, y]) => Math.hypot(x!, y!) <= 1);
			const picture = {
				centres: places.flat(),
				areas: places.map(() => (2 / 64) ** 2),
				change: places.map(([x, y]) => (Math.hypot(x! - 0.5, y!) <= 0.2 ? 1 : 0)),
			};
			const target = { centre: [0.5, 0], area: 124 * (2 / 64) ** 2, change: 1 } as const;
			const figures = figuresOfMerit(picture, target, [0, 0]);
			return Math.max(
				Math.abs(figures.resolution - 0.196),
				Math.abs(figures.shapeDeformation - 0.032),
				Math.abs(figures.positionError),
				figures.ringing,
				Math.abs(figures.amplitude - 1),
			);
		},
	},
	meritCheck(
		"Amplitude response of a small target within 0.8 of a disc's radius: how far from the same everywhere",
		wantedMerit.amplitude[1] - 1,
		(m, i) => Math.abs(m.amplitude[i]! - 1),
	),
	meritCheck(
		"Position error of a small target within 0.8 of a disc's radius, as a share of it",
		wantedMerit.positionError[1],
		(m, i) => Math.abs(m.positionError[i]!),
	),
];

function meritCheck(
	what: string,
	tolerance: number,
	figure: (m: ReturnType<typeof meritAlongRadius>, i: number) => number,
): Check {
	return {
		what,
		source: `${CONSENSUS}: wanted the same at all places, and small; the number is this project's`,
		tolerance,
		unit: "absolute",
		measure() {
			const subject = createDiscSubject();
			const pattern = createPattern(16, "adjacent");
			const model = buildPictureModel({
				subject,
				pattern,
				ohmMetrePerUnit: 1,
				noise: null,
				prior: "diagonal",
				rule: "noise-figure",
				values: "cells",
			});
			const along = meritAlongRadius({ subject, pattern, model, angle: 0.2 });
			return Math.max(
				...Array.from(along.place, (place, i) => (place > WANTED_WITHIN ? 0 : figure(along, i))),
			);
		},
	};
}

const tanks = [
	{ electrodes: 16, near: 0.05, radius: 0.14, median: 4, ninetieth: 9, source: ARCHIVE_16 },
	{ electrodes: 32, near: 0.045, radius: 0.115, median: 4.5, ninetieth: 10, source: ARCHIVE_32 },
] as const;

function readTank(electrodes: 16 | 32): Recording {
	const read = parseRecording(readJson(`tank${electrodes}`));
	if (!read.ok) throw new Error(JSON.stringify(read.error));
	return read.value;
}

function tankErrors(recording: Recording, near: number): (number | null)[] {
	return buildRecordingModels(recording, { prior: "diagonal", rule: "noise-figure" }).flatMap((group) =>
		positionErrors(group, picturesOf(group, recording), near),
	);
}

const measured: readonly Check[] = tanks.flatMap(
	({ electrodes, near, radius, median, ninetieth, source }) => {
		let score: TankScore | null = null;
		const scored = () => {
			score ??= scoreOf(tankErrors(readTank(electrodes), near), radius);
			return score;
		};
		const what = `Pictures of a measured tank, ${electrodes} electrodes`;
		return [
			{
				what: `${what}: targets that are not found`,
				source,
				tolerance: 0,
				unit: "targets missed",
				measure: () => scored().targets - scored().found,
			},
			{
				what: `${what}: median position error`,
				source,
				tolerance: median,
				unit: "% of the radius",
				measure: () => scored().medianPercent,
			},
			{
				what: `${what}: 90th percentile of the position error`,
				source,
				tolerance: ninetieth,
				unit: "% of the radius",
				measure: () => scored().ninetiethPercent,
			},
		] satisfies Check[];
	},
);

const lostElectrodes: Check = {
	what: "Single targets in a measured tank, 2 of 16 electrodes taken away (16 pairs): growth of the position error, largest",
	source: `${ARCHIVE_16}; Hartinger, Guardo, Adler & Gagnon, IEEE Trans. Biomed. Eng. 56:369, 2009, for the idea`,
	tolerance: 10,
	unit: "% of the radius",
	measure() {
		const recording = readTank(16);
		const { terminals } = recording.setup.pattern;
		const frames = recording.frames.filter(({ targets }) => targets.length === 1);
		const before = tankErrors({ ...recording, frames }, 0.05);
		let largest = 0;
		for (let a = 0; a < 16; a++) {
			const lost = [a, (a + 1 + ((5 * a) % 7)) % 16];
			const without = frames.map((frame) => ({
				...frame,
				voltages: frame.voltages.map((v, r) =>
					lost.some((e) => terminals.subarray(4 * r, 4 * r + 4).includes(e)) ? Number.NaN : v,
				),
			}));
			for (const [i, error] of tankErrors({ ...recording, frames: without }, 0.05).entries()) {
				largest = Math.max(largest, error === null ? Number.POSITIVE_INFINITY : error - before[i]!);
			}
		}
		return (100 * largest) / 0.14;
	},
};

export const chapters: readonly { readonly title: string; readonly checks: readonly Check[] }[] = [
	{ title: "Voltages", checks: forward },
	{ title: "Boundary cases", checks: boundary },
	{ title: "Tissue", checks: tissue },
	{ title: "Figures of merit", checks: merit },
	{ title: "Measured tanks", checks: [...measured, lostElectrodes] },
];
