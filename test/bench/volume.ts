/** Three dimensions: from limb to matrix with two bands of 16, one frame beside numpy's float32 product of the full matrix,
 *  and how set-up grows with the number of tetrahedra. */
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { buildVolumeModel, type VolumeModel } from "../../core/volume/volume-model.ts";
import { createThighVolume } from "../volume/create-volume.ts";
import { time } from "./measure.ts";
import { runYardstick } from "./yardstick.ts";

const subject = createThighVolume();
const pattern = createBandsPattern([16, 16], "adjacent");
const readingCount = pattern.terminals.length / 4;

function build(targetCells: number): VolumeModel {
	const noise = new Float64Array(readingCount).fill(1e-4);
	return buildVolumeModel({ subject, pattern, ohmPerUnit: 1, noise, rule: "noise-figure", targetCells })!;
}

export function benchVolume(): Record<string, unknown> {
	const began = performance.now();
	const model = build(30_000);
	const seconds = (performance.now() - began) / 1000;
	const memory = process.memoryUsage().rss / 2 ** 20;
	return {
		tetrahedra: 3 * model.geometry.cellVolumes.length,
		"limb to matrix s, first time": rounded(seconds),
		"memory in use MiB": Math.round(memory),
		...benchVolumeFrame(model),
		"growth of set-up": benchGrowth(),
	};
}

function benchVolumeFrame(model: VolumeModel): Record<string, unknown> {
	const kernel = createPictureKernel(model);
	const rest = Float64Array.from({ length: readingCount }, (_, i) => Math.sin(1 + i));
	kernel.setBaseline(rest);
	const readings = rest.map((value, i) => value * (1 + 0.01 * Math.cos(i)));
	const cells = model.geometry.cellVolumes.length;
	const ours = [time(() => kernel.apply(readings))];
	const numpy = runYardstick("matvec.py", [String(cells), String(readingCount)]);
	ours.push(time(() => kernel.apply(readings)));
	const median = Math.min(...ours.map((timing) => timing.median));
	return {
		cells,
		readings: readingCount,
		"columns left": model.matrix.columnCount,
		"frame µs": median,
		"numpy µs": numpy?.median ?? null,
		"ratio to numpy": numpy === null ? null : Number((median / numpy.median!).toFixed(2)),
	};
}

/** Least of three runs each: others may use the machine as well. */
function benchGrowth(): Record<string, unknown> {
	const rows = [8000, 16_000, 32_000, 64_000].map((targetCells) => {
		let forward = Number.POSITIVE_INFINITY;
		let tetrahedra = 0;
		for (let run = 0; run < 3; run++) {
			const began = performance.now();
			const mesh = meshVolume(subject, targetCells);
			createVolumeSolver(mesh).solve(restSigmaOf(subject, mesh), subject.contactImpedance);
			forward = Math.min(forward, (performance.now() - began) / 1000);
			tetrahedra = mesh.tetrahedra.length / 4;
		}
		const began = performance.now();
		build(targetCells);
		return { tetrahedra, forward, all: (performance.now() - began) / 1000 };
	});
	const exponent = (of: "forward" | "all"): number => {
		const [first, last] = [rows[0]!, rows.at(-1)!];
		return Number((Math.log(last[of] / first[of]) / Math.log(last.tetrahedra / first.tetrahedra)).toFixed(2));
	};
	return {
		tetrahedra: rows.map((row) => row.tetrahedra),
		"mesh and field s": rows.map((row) => rounded(row.forward)),
		"limb to matrix s": rows.map((row) => rounded(row.all)),
		"exponent of mesh and field": exponent("forward"),
		"exponent of limb to matrix": exponent("all"),
	};
}

function rounded(value: number): number {
	return Number(value.toPrecision(3));
}
