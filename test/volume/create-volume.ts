import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { limbVolume, type VolumeSubject } from "../../core/volume/volume-subject.ts";

/** An invented left thigh that grows thicker towards the hip, with bands of 16 (or fewer) electrodes. */
export function createThighVolume(
	heights: readonly number[] = [0.2, 0.27],
	electrodeCount = 16,
): VolumeSubject {
	const limb = createThigh({
		side: "left",
		outline: { type: "ellipse", a: 0.084, b: 0.08 },
		fatThickness: 0.008,
		level: 0.5,
	});
	return limbVolume(
		limb,
		[
			{ z: 0.1, circumference: 0.45 },
			{ z: 0.2, circumference: 0.52 },
			{ z: 0.3, circumference: 0.58 },
		],
		heights.map((z) => ({
			z,
			electrodeHeight: 0.03,
			band: {
				electrodeCount,
				electrodeWidth: 0.02,
				firstAngle: Math.PI / 2,
				direction: "anticlockwise",
			},
		})),
		50_000,
	);
}
