/** Where the limb's axes (m; +y anterior, +x the person's left) come to lie on a canvas (pixels; y down). */
export interface LimbView {
	/** Canvas position of the limb's origin, px. */
	readonly originX: number;
	readonly originY: number;
	/** px per metre. */
	readonly scale: number;
	/** False: seen from the foot. True: seen from the hip, left and right exchanged. */
	readonly mirrored: boolean;
}

export interface Box {
	readonly left: number;
	readonly top: number;
	readonly right: number;
	readonly bottom: number;
}

export function toCanvasX(view: LimbView, x: number): number {
	return view.originX + (view.mirrored ? -x : x) * view.scale;
}

export function toCanvasY(view: LimbView, y: number): number {
	return view.originY - y * view.scale;
}

/** The inverse of the two above. @returns m, in the limb's axes */
export function fromCanvas(view: LimbView, x: number, y: number): readonly [number, number] {
	const across = (x - view.originX) / view.scale;
	return [view.mirrored ? -across : across, (view.originY - y) / view.scale];
}

/** The largest view that shows all points inside the box, centred. @throws RangeError without points. */
export function fitView(points: Iterable<readonly [number, number]>, box: Box, mirrored: boolean): LimbView {
	let left = Infinity;
	let right = -Infinity;
	let bottom = Infinity;
	let top = -Infinity;
	for (const [x, y] of points) {
		left = Math.min(left, x);
		right = Math.max(right, x);
		bottom = Math.min(bottom, y);
		top = Math.max(top, y);
	}
	if (!(right > left && top > bottom)) throw new RangeError("view: the outline has no extent");
	const scale = Math.max(
		1,
		Math.min((box.right - box.left) / (right - left), (box.bottom - box.top) / (top - bottom)),
	);
	const middleX = ((left + right) / 2) * (mirrored ? -1 : 1);
	return {
		originX: (box.left + box.right) / 2 - middleX * scale,
		originY: (box.top + box.bottom) / 2 + ((top + bottom) / 2) * scale,
		scale,
		mirrored,
	};
}
