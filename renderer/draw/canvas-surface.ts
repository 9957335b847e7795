/** A canvas as large as its host element in device pixels, up to a limit. */
export interface CanvasSurface {
	readonly canvas: HTMLCanvasElement;
	readonly context: CanvasRenderingContext2D;
	/** CSS px. */
	readonly width: number;
	readonly height: number;
	/** Canvas pixels per CSS px. */
	readonly ratio: number;
	/** Takes over a new size of the host. @returns true when it changed: the canvas is then empty. */
	resize(width: number, height: number, devicePixelRatio: number): boolean;
}

/** @throws TypeError where the browser has no 2D canvas. */
export function createCanvasSurface(className: string, largestSide: number): CanvasSurface {
	const canvas = document.createElement("canvas");
	canvas.className = className;
	const context = canvas.getContext("2d");
	if (context === null) throw new TypeError("this browser cannot draw on a canvas");
	let width = 0;
	let height = 0;
	let ratio = 1;
	return {
		canvas,
		context,
		get width() {
			return width;
		},
		get height() {
			return height;
		},
		get ratio() {
			return ratio;
		},
		resize(nextWidth, nextHeight, devicePixelRatio) {
			const nextRatio = Math.min(devicePixelRatio, largestSide / Math.max(nextWidth, nextHeight, 1));
			if (nextWidth === width && nextHeight === height && nextRatio === ratio) return false;
			width = nextWidth;
			height = nextHeight;
			ratio = nextRatio;
			canvas.width = Math.max(1, Math.round(width * ratio));
			canvas.height = Math.max(1, Math.round(height * ratio));
			canvas.style.width = `${width}px`;
			canvas.style.height = `${height}px`;
			return true;
		},
	};
}
