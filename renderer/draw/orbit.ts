/** From where a limb is looked at. Angles in radians. */
export interface Orbit {
	/** 0 from the front, growing towards the person's left. */
	readonly azimuth: number;
	/** 0 level, −π/2 from the foot, π/2 from the hip. */
	readonly elevation: number;
	/** Times the distance at which all fits. */
	readonly distance: number;
}

export type StandardView = "front" | "back" | "medial" | "lateral" | "foot";

/** In the order of their keys 1 to 5. */
export const standardViews: readonly StandardView[] = ["front", "back", "medial", "lateral", "foot"];

/** A little from above and from the outer side, so that cross-sections and front both show. */
export function startOrbit(side: "left" | "right" | null): Orbit {
	return { azimuth: (side === "right" ? -1 : 1) * (Math.PI / 7), elevation: Math.PI / 7, distance: 1 };
}

export function standardOrbit(view: StandardView, side: "left" | "right" | null): Orbit {
	const outward = side === "right" ? -1 : 1;
	switch (view) {
		case "front":
			return { azimuth: 0, elevation: 0, distance: 1 };
		case "back":
			return { azimuth: Math.PI, elevation: 0, distance: 1 };
		case "lateral":
			return { azimuth: (outward * Math.PI) / 2, elevation: 0, distance: 1 };
		case "medial":
			return { azimuth: (-outward * Math.PI) / 2, elevation: 0, distance: 1 };
		case "foot":
			return { azimuth: 0, elevation: -Math.PI / 2, distance: 1 };
	}
}

const NEAREST = 0.35;
const FARTHEST = 2.5;

/** @param turn towards the person's left, @param rise towards the hip, @param zoom factor on the distance */
export function turned({ azimuth, elevation, distance }: Orbit, turn: number, rise: number, zoom = 1): Orbit {
	const around = azimuth + turn;
	return {
		azimuth: around - 2 * Math.PI * Math.round(around / (2 * Math.PI)),
		elevation: Math.max(-Math.PI / 2, Math.min(Math.PI / 2, elevation + rise)),
		distance: Math.max(NEAREST, Math.min(FARTHEST, distance * zoom)),
	};
}

const KEY_STEP = Math.PI / 24;
const KEY_ZOOM = 1.15;

/** @returns the orbit after a key; null for a key that does nothing here */
export function orbitAfterKey(orbit: Orbit, key: string, side: "left" | "right" | null): Orbit | null {
	switch (key) {
		case "ArrowLeft":
			return turned(orbit, -KEY_STEP, 0);
		case "ArrowRight":
			return turned(orbit, KEY_STEP, 0);
		case "ArrowUp":
			return turned(orbit, 0, KEY_STEP);
		case "ArrowDown":
			return turned(orbit, 0, -KEY_STEP);
		case "+":
		case "=":
			return turned(orbit, 0, 0, 1 / KEY_ZOOM);
		case "-":
			return turned(orbit, 0, 0, KEY_ZOOM);
		case "Home":
			return startOrbit(side);
		default: {
			const view = /^[1-5]$/.test(key) ? standardViews[Number(key) - 1] : undefined;
			return view === undefined ? null : standardOrbit(view, side);
		}
	}
}

/**
 * The camera's own axes in right-handed drawing axes (x to the person's right, y to the front, z to the hip): `out` from
 * what is looked at to the camera, `right` and `up` on the screen. Well defined also from the foot and from the hip, where
 * up is the front.
 */
export function cameraAxes({ azimuth, elevation }: Orbit): {
	readonly out: readonly [number, number, number];
	readonly right: readonly [number, number, number];
	readonly up: readonly [number, number, number];
} {
	// The direction around the limb, seen level: the front is +y, the person's left −x.
	const x = -Math.sin(azimuth);
	const y = Math.cos(azimuth);
	const level = Math.cos(elevation);
	const rise = Math.sin(elevation);
	return {
		out: [level * x, level * y, rise],
		right: [-y, x, 0],
		up: [-rise * x, -rise * y, level],
	};
}
