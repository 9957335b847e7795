/** Three dimensions: from limb to matrix with two bands of 16, from scratch and as kept on disk, one frame beside numpy's
 *  float32 product of the full matrix, and how set-up grows with the number of tetrahedra. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createVolumeBuilder } from "../../app/pipeline/volume-builder.ts";
import type { VolumeRequest } from "../../app/pipeline/volume-messages.ts";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { buildVolumeModel, type VolumeModel } from "../../core/volume/volume-model.ts";
import { unwrap } from "../store/create-records.ts";
import { createThighVolume } from "../volume/create-volume.ts";
import { pictureError } from "./exact-picture.ts";
import { compareFrame, createFrame } from "./frame.ts";
import { atMost, processorMicros, rounded } from "./measure.ts";

const mostColdSeconds = 15;
const mostKeptSeconds = 0.5;
const mostMebibytes = 2048;
const mostError = 1e-3;
const mostGrowth = 1.5;

const subject = createThighVolume();
const pattern = createBandsPattern([16, 16], "adjacent");
const readingCount = pattern.terminals.length / 4;

function build(targetCells: number, isExact = false): VolumeModel {
	const noise = new Float64Array(readingCount).fill(1e-4);
	const rule = "noise-figure";
	return buildVolumeModel({ subject, pattern, ohmPerUnit: 1, noise, rule, targetCells, isExact })!;
}

export async function benchVolume(): Promise<Record<string, unknown>> {
	return {
		...(await benchVolumeSetup()),
		...benchVolumeFrame(),
		"growth of set-up": benchGrowth(),
	};
}

/** As in the app: in a thread of its own, with what is kept on disk. */
async function benchVolumeSetup(): Promise<Record<string, unknown>> {
	const folder = mkdtempSync(join(tmpdir(), "tautline-bench-"));
	const worker = new URL("../../app/pipeline/volume-worker.ts", import.meta.url);
	const builder = createVolumeBuilder(worker, folder);
	const request: VolumeRequest = {
		limb: { side: "left", outline: { type: "ellipse", a: 0.084, b: 0.08 }, fatThickness: 0.008, level: 0.5 },
		band: {
			name: "Band 16",
			electrodeCount: 16,
			electrodeWidth: 0.02,
			firstElectrodeDegrees: 90,
			direction: "anticlockwise",
			positions: null,
		},
		places: [
			{ aboveKnee: 0.2, circumference: 0.52 },
			{ aboveKnee: 0.27, circumference: 0.56 },
		],
		terminals: pattern.terminals,
		frequencyHertz: 50_000,
	};
	const once = async (): Promise<{ processor: number; wall: number }> => {
		const began = performance.now();
		const processor = processorMicros();
		unwrap(await builder.build(request, () => {}, new AbortController().signal));
		return {
			processor: (processorMicros() - processor) / 1e6,
			wall: (performance.now() - began) / 1000,
		};
	};
	try {
		const cold = await once();
		const { maxRSS } = process.resourceUsage();
		const kept = [await once(), await once(), await once()];
		const least = (of: "processor" | "wall"): number => rounded(Math.min(...kept.map((run) => run[of])));
		return {
			"limb to matrix, processor s": atMost(mostColdSeconds, rounded(cold.processor)),
			"limb to matrix, s on the wall": rounded(cold.wall),
			"kept on disk, processor s": atMost(mostKeptSeconds, least("processor")),
			"kept on disk, s on the wall": least("wall"),
			"most memory MiB": atMost(mostMebibytes, Math.round(maxRSS / 1024)),
		};
	} finally {
		await builder.dispose();
		rmSync(folder, { recursive: true, force: true });
	}
}

function benchVolumeFrame(): Record<string, unknown> {
	const model = build(30_000);
	const kernel = createPictureKernel(model);
	const { rest, readings } = createFrame(readingCount, 1);
	const cells = model.geometry.cellVolumes.length;
	const exact = build(30_000, true);
	return {
		tetrahedra: 3 * cells,
		cells,
		readings: readingCount,
		"columns left": model.matrix.columnCount,
		...compareFrame(kernel, rest, readings, cells),
		"difference from the whole matrix": atMost(
			mostError,
			rounded(pictureError(kernel, exact, rest, readings)),
		),
	};
}

/** Processor time; of mesh and field the least of three runs. */
function benchGrowth(): Record<string, unknown> {
	const rows = [8000, 16_000, 32_000, 64_000].map((targetCells) => {
		let forward = Number.POSITIVE_INFINITY;
		let tetrahedra = 0;
		for (let run = 0; run < 3; run++) {
			const began = processorMicros();
			const mesh = meshVolume(subject, targetCells);
			createVolumeSolver(mesh).solve(restSigmaOf(subject, mesh), subject.contactImpedance);
			forward = Math.min(forward, processorMicros() - began);
			tetrahedra = mesh.tetrahedra.length / 4;
		}
		const began = processorMicros();
		build(targetCells);
		return { tetrahedra, forward, all: processorMicros() - began };
	});
	const exponent = (of: "forward" | "all"): number => {
		const [first, last] = [rows[0]!, rows.at(-1)!];
		return rounded(Math.log(last[of] / first[of]) / Math.log(last.tetrahedra / first.tetrahedra));
	};
	return {
		tetrahedra: rows.map((row) => row.tetrahedra),
		"mesh and field s": rows.map((row) => rounded(row.forward / 1e6)),
		"limb to matrix s": rows.map((row) => rounded(row.all / 1e6)),
		"exponent of mesh and field": atMost(mostGrowth, exponent("forward")),
		"exponent of limb to matrix": atMost(mostGrowth, exponent("all")),
	};
}
