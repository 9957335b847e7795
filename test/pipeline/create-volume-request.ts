import type { VolumeRequest } from "../../app/pipeline/volume-messages.ts";
import { createPattern } from "../../core/band/patterns.ts";

const one = createPattern(8, "adjacent", "four-terminal").terminals;

/** Two bands of eight electrodes on a thigh. */
export function createVolumeRequest(part: Partial<VolumeRequest> = {}): VolumeRequest {
	return {
		limb: { side: "left", outline: { type: "circle", radius: 0.08 }, fatThickness: 0.008, level: 0.5 },
		band: {
			name: "Eight",
			electrodeCount: 8,
			electrodeWidth: 0.02,
			firstElectrodeDegrees: 0,
			direction: "anticlockwise",
			positions: null,
		},
		places: [
			{ aboveKnee: 0.2, circumference: 0.5 },
			{ aboveKnee: 0.15, circumference: 0.46 },
		],
		terminals: Uint16Array.from([...one, ...one.map((electrode) => electrode + 8)]),
		frequencyHertz: 50_000,
		...part,
	};
}
