import type { InvalidInput } from "../invalid-input.ts";
import { invalid } from "../invalid-input.ts";
import { parseCase } from "../physics/case.ts";
import { predictCase } from "../physics/predict-case.ts";
import { readingsFrom } from "../physics/solve-forward.ts";
import { type Result, success } from "../result.ts";
import { changeByBalls } from "./ball-change.ts";
import { solveExtruded } from "./extruded-body.ts";
import { parseVolumeCase, type VolumeCase } from "./volume-case.ts";

/** The voltages that a case's readings would show, V, whether it is of two dimensions or three. */
export function predictFile(input: unknown): Result<Float64Array, InvalidInput> {
	if (dimensionOf(input) === 3) {
		const read = parseVolumeCase(input);
		return read.ok ? predictVolumeCase(read.value) : read;
	}
	const read = parseCase(input);
	return read.ok ? predictCase(read.value) : read;
}

function dimensionOf(input: unknown): unknown {
	return typeof input === "object" && input !== null && "dimension" in input ? input.dimension : undefined;
}

export function predictVolumeCase({
	body,
	balls,
	pattern,
	current,
}: VolumeCase): Result<Float64Array, InvalidInput> {
	try {
		const transfer = solveExtruded(body);
		const readings = readingsFrom({ electrodeCount: pattern.electrodeCount, transfer }, pattern, current);
		if (balls.length > 0) {
			const change = changeByBalls(body, balls, pattern);
			for (let r = 0; r < readings.length; r++) readings[r]! += current[r]! * change[r]!;
		}
		return success(readings);
	} catch (error) {
		// the mesh maker and the solver refuse impossible geometry by a RangeError in one sentence
		if (error instanceof RangeError) return invalid("", "a body that can be meshed", `"${error.message}"`);
		throw error;
	}
}
