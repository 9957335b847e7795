import { expect, test } from "vitest";
import { sentenceOf } from "../../core/invalid-input.ts";
import { parseCase } from "../../core/physics/case.ts";
import { predictCase } from "../../core/physics/predict-case.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import { buildRecordingModels, picturesOf } from "../../core/picture/recording-pictures.ts";

const RADIUS = 0.085;
const MUSCLE = 0.3518;

function createSetup(fat: number) {
	return {
		dimension: 2,
		outline: { type: "circle", radius: RADIUS },
		electrodes: { count: 16, width: 0.015, firstAngleDeg: 90, direction: "clockwise" },
		contactImpedance: 0.01,
		background: { sigma: 0.0242 },
		regions: [
			{ center: [0, 0], radius: RADIUS - fat, sigma: MUSCLE },
			{ center: [0.008, -0.004], radius: 0.013, sigma: 0.0206 },
		],
		drive: "adjacent",
		current: 0.03,
	};
}

const PATCH = 0.012;

// No outside truth but the layers' closed forms, which `predict` is checked against elsewhere. The file names no muscles.
test.each([0.015, 0.025])(
	"a patch of muscle under %s m of fat is found, and elsewhere shows at most a quarter",
	(fat) => {
		const setup = createSetup(fat);
		const inner = RADIUS - fat;
		const patches = (
			[
				[0.5, 0.4],
				[0.75, 2.1],
				[0.6, 4.4],
			] as const
		).map(([share, angle]) => ({
			angle,
			center: [share * inner * Math.cos(angle), share * inner * Math.sin(angle)] as const,
		}));
		/** By quadratic functions on a mesh of its own, which knows all patches. */
		const readingsWith = (changed: number): number[] => {
			const circles = patches.map(({ center }, i) => ({
				center,
				radius: PATCH,
				sigma: (i === changed ? 1.2 : 1) * MUSCLE,
			}));
			const read = parseCase({ ...setup, regions: [...setup.regions, ...circles] });
			if (!read.ok) throw new Error(sentenceOf(read.error));
			const voltages = predictCase(read.value, { targetTriangles: 1500 });
			if (!voltages.ok) throw new Error(sentenceOf(voltages.error));
			return Array.from(voltages.value);
		};
		const read = parseRecording({
			setup,
			rests: { rest: readingsWith(-1) },
			frames: Object.fromEntries(patches.map((_, i) => [i, { rest: "rest", voltages: readingsWith(i) }])),
		});
		if (!read.ok) throw new Error(sentenceOf(read.error));
		const [group] = buildRecordingModels(read.value, { prior: "diagonal", rule: "noise-figure" });
		const { cellCentres, cellAreas } = group!.model.geometry;
		for (const { id, change } of picturesOf(group!, read.value)) {
			const { angle, center } = patches[Number(id)]!;
			const meanWhere = (isIn: (x: number, y: number) => boolean): number => {
				let area = 0;
				let sum = 0;
				for (const [k, a] of cellAreas.entries()) {
					if (!isIn(cellCentres[2 * k]!, cellCentres[2 * k + 1]!)) continue;
					area += a;
					sum += a * change[k]!;
				}
				return sum / area;
			};

			const sectors = Array.from({ length: 6 }, (_, i) =>
				meanWhere((x, y) => {
					const turned = Math.atan2(y, x) - angle - (i * Math.PI) / 3;
					return Math.hypot(x, y) < inner && Math.cos(turned) > Math.cos(Math.PI / 6);
				}),
			);
			for (const other of sectors.slice(1)) expect(Math.abs(other) / sectors[0]!).toBeLessThan(1 / 4);

			const circleAt = (cx: number, cy: number) => meanWhere((x, y) => Math.hypot(x - cx, y - cy) < PATCH);
			const own = circleAt(...center);
			for (let i = 0; i < 24; i++) {
				const x = (inner - PATCH) * Math.cos((i * Math.PI) / 12);
				const y = (inner - PATCH) * Math.sin((i * Math.PI) / 12);
				if (Math.hypot(x - center[0], y - center[1]) < 0.04) continue;
				expect(Math.abs(circleAt(x, y)) / own).toBeLessThan(1 / 4);
			}
		}
	},
);
