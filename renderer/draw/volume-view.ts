/** The volume view: a limb that can be turned, with its bands, planes cut through it and surfaces inside it. */
import {
	type BufferGeometry,
	Group,
	LineSegments,
	type Material,
	Mesh,
	PerspectiveCamera,
	Scene,
	Vector3,
	WebGLRenderer,
} from "three";
import type { Theme } from "../theme.ts";
import { createCanvasSurface } from "./canvas-surface.ts";
import type { FrameLoop } from "./frame-loop.ts";
import { cameraAxes, type Orbit } from "./orbit.ts";
import { watchSize } from "./picture-view.ts";
import { type CutPlane, type CutSurface, createVolumeCuts } from "./volume-cuts.ts";
import { paintVolumeLabels } from "./volume-labels.ts";
import { createVolumeMaterials } from "./volume-materials.ts";
import {
	borderGeometry,
	drawnPositions,
	electrodeGeometry,
	ringGeometry,
	skinGeometry,
	strapGeometry,
} from "./volume-parts.ts";
import type { VolumeShape } from "./volume-shape.ts";

export interface VolumeViewSettings {
	/** Heights of the cross-sections that stay, m; none are shown where empty. */
	readonly crossings: readonly number[];
	/** Height of the cross-section that moves, m. */
	readonly chosen: number;
	/** Where the lengthwise planes lie in the limb's axes, m; null for none. */
	readonly sagittal: number | null;
	readonly coronal: number | null;
	/** Share of the scale's end at which the surfaces lie; null for none. */
	readonly surface: number | null;
	/** [bands] numbers of electrodes that the volume is made without. */
	readonly leftOut: readonly (readonly number[])[];
	readonly isLarge: boolean;
}

export interface VolumeView {
	setShape(shape: VolumeShape | null): void;
	set(settings: VolumeViewSettings): void;
	/** `values` [nNodes] stay the caller's and are read until others are given; null for none yet. */
	show(values: Float32Array | null, range: number): void;
	turn(orbit: Orbit): void;
	dispose(): void;
}

const LARGEST_OVERLAY = 4096;
const MOST_PIXEL_RATIO = 2;
const FIELD_OF_VIEW = 26;
/** Share of the view that the limb fills. */
const FILLED = 0.92;

/** @param onLost told when the graphics context is lost (true) and when it has come back (false)
 *  @returns null where there is no WebGL */
export function createVolumeView(
	host: HTMLElement,
	frames: FrameLoop,
	theme: Theme,
	onLost: (isLost: boolean) => void,
): VolumeView | null {
	const canvas = document.createElement("canvas");
	// Asked for here: the library would complain aloud of a browser that has none.
	const context = canvas.getContext("webgl2", { antialias: true, alpha: true, powerPreference: "low-power" });
	if (context === null) return null;
	const renderer = new WebGLRenderer({ canvas, context });
	renderer.domElement.className = "volume-canvas";
	const overlay = createCanvasSurface("volume-overlay", LARGEST_OVERLAY);
	host.append(renderer.domElement, overlay.canvas);
	const materials = createVolumeMaterials();
	const scene = new Scene();
	const camera = new PerspectiveCamera(FIELD_OF_VIEW, 1, 0.01, 10);
	camera.matrixAutoUpdate = false;

	let parts: LimbParts | null = null;
	let settings: VolumeViewSettings | null = null;
	let orbit: Orbit | null = null;
	let values: Float32Array | null = null;
	let range = 1;
	let isLost = false;
	let needsCuts = true;
	let needsValues = true;

	const handle = frames.add({
		draw() {
			if (isLost || settings === null || orbit === null) return false;
			const width = host.clientWidth;
			const height = host.clientHeight;
			if (width < 50 || height < 50) return false;
			renderer.setPixelRatio(Math.min(devicePixelRatio, MOST_PIXEL_RATIO));
			renderer.setSize(width, height);
			overlay.resize(width, height, devicePixelRatio);
			materials.setColours(theme.colours);
			if (parts !== null) {
				if (needsCuts) parts.cut(settings);
				if (needsCuts || needsValues) parts.show(values, range, settings);
				materials.setRange(range, settings.surface ?? 0);
				needsCuts = false;
				needsValues = false;
				aim(parts.shape, orbit, width / height);
			}
			renderer.render(scene, camera);
			overlay.context.setTransform(overlay.ratio, 0, 0, overlay.ratio, 0, 0);
			if (parts === null) overlay.context.clearRect(0, 0, width, height);
			else paintLabels(parts.shape, orbit, settings, width, height);
			return false;
		},
	});

	function aim(shape: VolumeShape, { distance, ...angles }: Orbit, aspect: number): void {
		const { out, right, up } = cameraAxes({ ...angles, distance });
		const halfHeight = (shape.high - shape.low) / 2;
		const tallest = Math.hypot(halfHeight, shape.radius);
		const slope = Math.tan((FIELD_OF_VIEW * Math.PI) / 360) * Math.min(1, aspect);
		const away = (distance * tallest) / (FILLED * slope);
		const target = [-shape.middle[0], shape.middle[1], (shape.low + shape.high) / 2];
		camera.aspect = aspect;
		camera.near = Math.max(0.01, away - 3 * tallest);
		camera.far = away + 3 * tallest;
		camera.updateProjectionMatrix();
		camera.matrix.set(
			right[0],
			up[0],
			out[0],
			target[0]! + away * out[0],
			right[1],
			up[1],
			out[1],
			target[1]! + away * out[1],
			right[2],
			up[2],
			out[2],
			target[2]! + away * out[2],
			0,
			0,
			0,
			1,
		);
		camera.updateMatrixWorld(true);
	}

	const point = new Vector3();

	function paintLabels(
		shape: VolumeShape,
		seenFrom: Orbit,
		{ isLarge, leftOut }: VolumeViewSettings,
		width: number,
		height: number,
	): void {
		const { out } = cameraAxes(seenFrom);
		paintVolumeLabels(overlay.context, {
			shape,
			project(x, y, z) {
				point.set(-x, y, z).project(camera);
				if (point.z > 1) return null;
				return [((point.x + 1) / 2) * width, ((1 - point.y) / 2) * height];
			},
			towards: [-out[0], out[1], out[2]],
			width,
			height,
			colours: theme.colours,
			leftOut,
			isLarge,
		});
	}

	function onContextLost(event: Event): void {
		// Else the browser never gives it back.
		event.preventDefault();
		isLost = true;
		onLost(true);
	}

	function onContextRestored(): void {
		isLost = false;
		needsCuts = true;
		onLost(false);
		handle.ask();
	}

	renderer.domElement.addEventListener("webglcontextlost", onContextLost);
	renderer.domElement.addEventListener("webglcontextrestored", onContextRestored);
	const endings = [theme.onChange(() => handle.ask()), watchSize(host, () => handle.ask())];

	return {
		setShape(shape) {
			if (parts?.shape === shape) return;
			parts?.dispose();
			scene.clear();
			parts = shape === null ? null : createLimbParts(shape, materials, scene);
			values = null;
			needsCuts = true;
			handle.ask();
		},
		set(next) {
			settings = next;
			needsCuts = true;
			handle.ask();
		},
		show(nextValues, nextRange) {
			values = nextValues;
			range = nextRange;
			needsValues = true;
			handle.ask();
		},
		turn(next) {
			orbit = next;
			handle.ask();
		},
		dispose() {
			for (const end of endings) end();
			handle.dispose();
			renderer.domElement.removeEventListener("webglcontextlost", onContextLost);
			renderer.domElement.removeEventListener("webglcontextrestored", onContextRestored);
			parts?.dispose();
			materials.dispose();
			renderer.dispose();
			renderer.forceContextLoss();
			renderer.domElement.remove();
			overlay.canvas.remove();
		},
	};
}

interface LimbParts {
	readonly shape: VolumeShape;
	/** Moves the planes and lines. */
	cut(settings: VolumeViewSettings): void;
	show(values: Float32Array | null, range: number, settings: VolumeViewSettings): void;
	dispose(): void;
}

type Materials = ReturnType<typeof createVolumeMaterials>;

function createLimbParts(shape: VolumeShape, materials: Materials, scene: Scene): LimbParts {
	const drawn = drawnPositions(shape);
	const cuts = createVolumeCuts(shape, drawn);
	const standing = new Group();
	const lines = new Group();
	const crossings: CutPlane[] = [];
	const chosen = cuts.createPlane(materials.values);
	const sagittal = cuts.createPlane(materials.values);
	const coronal = cuts.createPlane(materials.values);
	const more: CutSurface = cuts.createSurface(materials.more);
	const less: CutSurface = cuts.createSurface(materials.less);
	const opposite = new Float32Array(shape.nodeCount);

	function addMesh(geometry: BufferGeometry, material: Material, order = 0): void {
		const mesh = new Mesh(geometry, material);
		mesh.renderOrder = order;
		standing.add(mesh);
	}

	const firsts = new Set(
		shape.geometry.electrodeCounts.map((_, band, counts) =>
			counts.slice(0, band).reduce((sum, count) => sum + count, 0),
		),
	);
	addMesh(
		electrodeGeometry(shape, drawn, (electrode) => !firsts.has(electrode)),
		materials.electrode,
		2,
	);
	addMesh(
		electrodeGeometry(shape, drawn, (electrode) => firsts.has(electrode)),
		materials.firstElectrode,
		2,
	);
	for (const height of shape.geometry.bandHeights)
		addMesh(strapGeometry(shape, drawn, height), materials.strap, 1);
	// What can be seen through goes last.
	addMesh(skinGeometry(shape, drawn), materials.shell, 3);
	scene.add(standing, lines, chosen.mesh, sagittal.mesh, coronal.mesh, more.mesh, less.mesh);

	function clearLines(): void {
		for (const line of [...lines.children]) {
			lines.remove(line);
			(line as Mesh).geometry.dispose();
		}
	}

	function crossingAt(i: number): CutPlane {
		const known = crossings[i];
		if (known !== undefined) return known;
		const made = cuts.createPlane(materials.values);
		crossings.push(made);
		scene.add(made.mesh);
		return made;
	}

	return {
		shape,
		cut(settings) {
			clearLines();
			const heights = settings.crossings.filter((height) => height !== settings.chosen);
			for (const [i, height] of heights.entries()) {
				const plane = crossingAt(i);
				plane.place(2, height);
				plane.mesh.visible = true;
				lines.add(new LineSegments(borderGeometry(shape, drawn, height), materials.line));
			}
			for (const plane of crossings.slice(heights.length)) plane.mesh.visible = false;
			chosen.place(2, settings.chosen);
			lines.add(new LineSegments(borderGeometry(shape, drawn, settings.chosen), materials.line));
			lines.add(new Mesh(ringGeometry(shape, drawn, settings.chosen), materials.chosen));
			for (const [plane, axis, at] of [
				[sagittal, 0, settings.sagittal],
				[coronal, 1, settings.coronal],
			] as const) {
				plane.mesh.visible = at !== null;
				if (at !== null) plane.place(axis, at);
			}
		},
		show(values, range, { surface }) {
			for (const plane of [...crossings, chosen, sagittal, coronal])
				if (plane.mesh.visible) plane.show(values);
			if (values === null || surface === null) {
				more.show(null, 0);
				less.show(null, 0);
				return;
			}
			more.show(values, surface * range);
			for (let i = 0; i < opposite.length; i++) opposite[i] = -values[i]!;
			less.show(opposite, surface * range);
		},
		dispose() {
			clearLines();
			for (const mesh of standing.children) (mesh as Mesh).geometry.dispose();
			for (const part of [...crossings, chosen, sagittal, coronal, more, less]) part.dispose();
		},
	};
}
