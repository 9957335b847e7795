import type { VolumeShape } from "../draw/volume-shape.ts";

/** What is shown of a volume; lengths in m, in the limb's axes from its middle. */
export interface VolumeSettings {
	readonly showsCrossings: boolean;
	readonly showsSagittal: boolean;
	readonly showsCoronal: boolean;
	readonly showsSurface: boolean;
	/** From the limb's middle. */
	readonly sagittal: number;
	readonly coronal: number;
	/** Share of the scale's end. */
	readonly surface: number;
}

export const firstVolumeSettings: VolumeSettings = {
	showsCrossings: true,
	showsSagittal: true,
	showsCoronal: true,
	showsSurface: false,
	sagittal: 0,
	coronal: 0,
	surface: 0.5,
};

/** Heights of the cross-sections that stay: at each band, and midway between neighbours. */
export function crossingsOf({ geometry }: VolumeShape): number[] {
	const bands = [...geometry.bandHeights].sort((a, b) => a - b);
	const between = bands.slice(1).map((height, i) => (height + bands[i]!) / 2);
	return [...bands, ...between].sort((a, b) => a - b);
}
