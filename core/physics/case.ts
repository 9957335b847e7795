import type { Band, ReadingPattern } from "../band/band.ts";
import { type PlacedElectrodes, placeElectrodes } from "../band/electrodes.ts";
import { createPattern } from "../band/patterns.ts";
import { type InvalidInput, invalid, readAs } from "../invalid-input.ts";
import type { OutlineShape, Point } from "../limb/limb.ts";
import { createOutline, type Outline } from "../limb/outline.ts";
import { type Result, success } from "../result.ts";
import { conductivity, setupSchema } from "./case-format.ts";
import { attempt, readCaseReadings } from "./case-readings.ts";
import type { Circle } from "./curved-sides.ts";

/** A circle of its own conductivity; a later one lies over an earlier one. */
export interface CaseRegion extends Circle {
	/** Null where the file gives none. */
	readonly name: string | null;
	/** S/m */
	readonly sigma: number;
}

/** A measurement setup in two dimensions, checked: everything fits together. */
export interface Setup {
	readonly name: string;
	readonly outline: Outline;
	readonly band: Band;
	readonly electrodes: PlacedElectrodes;
	/** [electrodeCount] Ω·m² */
	readonly contactImpedance: Float64Array;
	/** S/m; null where the setup does not know it. */
	readonly backgroundSigma: number | null;
	readonly regions: readonly CaseRegion[];
	readonly pattern: ReadingPattern;
	/** [nReadings] A per metre of height. */
	readonly current: Float64Array;
}

/** A setup whose voltages can be predicted. */
export interface Case extends Setup {
	readonly backgroundSigma: number;
}

/**
 * Reads a setup in the case format (described beside the reference data in `test/outside/data/README.md`); keys that
 * it does not use are ignored. `readings` stand in for `drive` where both are given.
 */
export function parseSetup(input: unknown): Result<Setup, InvalidInput> {
	const read = readAs(setupSchema, input);
	if (!read.ok) return read;
	const file = read.value;
	const { count: electrodeCount, width, firstAngleDeg, direction } = file.electrodes;

	const impedances = file.contactImpedance;
	if (typeof impedances !== "number" && impedances.length !== electrodeCount)
		return invalid("contactImpedance", `${electrodeCount} values, one per electrode`, impedances);
	const readings = readCaseReadings(file, electrodeCount, (drive) => createPattern(electrodeCount, drive));
	if (!readings.ok) return readings;

	const band: Band = {
		electrodeCount,
		electrodeWidth: width,
		firstAngle: (firstAngleDeg * Math.PI) / 180,
		direction,
	};
	const line = attempt("outline", "a closed line around the origin that does not cross itself", () =>
		createOutline(file.outline as OutlineShape),
	);
	if (!line.ok) return line;
	const electrodes = attempt("electrodes", "electrodes that fit on the outline side by side", () =>
		placeElectrodes(line.value, band),
	);
	if (!electrodes.ok) return electrodes;
	for (const [i, { center, radius }] of file.regions.entries())
		if (!reaches(line.value, center, radius))
			return invalid(`regions[${i}]`, "a circle that lies at least partly inside the outline", "one outside");

	return success({
		name: file.name ?? "case",
		outline: line.value,
		band,
		electrodes: electrodes.value,
		contactImpedance:
			typeof impedances === "number"
				? new Float64Array(electrodeCount).fill(impedances)
				: Float64Array.from(impedances),
		backgroundSigma: file.background?.sigma ?? null,
		regions: file.regions.map((region) => ({
			name: region.name ?? null,
			center: region.center,
			radius: region.radius,
			sigma: region.sigma,
		})),
		...readings.value,
	});
}

/** Like `parseSetup`, for files whose voltages are to be predicted: the background's conductivity must be known. */
export function parseCase(input: unknown): Result<Case, InvalidInput> {
	const setup = parseSetup(input);
	if (!setup.ok) return setup;
	const { backgroundSigma } = setup.value;
	if (backgroundSigma === null) return invalid("background.sigma", conductivity, undefined);
	return success({ ...setup.value, backgroundSigma });
}

/** Whether a circle lies at least partly inside. */
export function reaches(outline: Outline, [x, y]: Point, radius: number): boolean {
	if (outline.contains(x, y)) return true;
	const { vertices } = outline;
	for (let i = 0; i < vertices.length; i += 2) {
		const j = (i + 2) % vertices.length;
		const dx = vertices[j]! - vertices[i]!;
		const dy = vertices[j + 1]! - vertices[i + 1]!;
		const along = ((x - vertices[i]!) * dx + (y - vertices[i + 1]!) * dy) / (dx * dx + dy * dy);
		const t = Math.min(1, Math.max(0, along));
		if (Math.hypot(vertices[i]! + t * dx - x, vertices[i + 1]! + t * dy - y) < radius) return true;
	}
	return false;
}
