import { cutRing } from "../band/ring-parts.ts";
import { meshLimb } from "../mesh/limb-mesh.ts";
import { cutLayers } from "./limb-layers.ts";
import { sectionPlaces } from "./section-places.ts";
import { stackSection, type VolumeMesh } from "./volume-mesh.ts";
import { bandStretches, placeBands, type VolumeSubject } from "./volume-subject.ts";

/** How much of the limb beyond the outermost electrodes is modelled, as a share of its radius: what a band does beyond
 *  fades as exp(−1.84 z/R) at least (the smallest zero of J₁′; Abramowitz & Stegun 9.5). */
const MARGIN = 1.25;

/** With 30,000 cells: layers at the edges of electrodes as a share of their height, and the thickest as a share of the
 *  limb's radius. Both follow the third root of the number of cells. */
const USUAL_CELLS = 30_000;
const NEAR = 0.2;
const FAR = 0.3;

const LEAST_TRIANGLES = 400;

/**
 * Tetrahedra over a limb or tank: its cross-section meshed once, fine at electrodes, and stacked in layers that are
 * thin at electrodes' edges.
 *
 * @param targetCells about how many prisms, of three tetrahedra each
 * @param layer thickness of layers at electrodes' edges as a share of their height; where left out, as goes with the cells
 * @throws RangeError in one sentence when the subject cannot be meshed
 */
export function meshVolume(subject: VolumeSubject, targetCells: number, layer?: number): VolumeMesh {
	if (!(targetCells >= 2000 && targetCells <= 500_000))
		throw new RangeError(`volume: between 2,000 and 500,000 cells can be asked for, got ${targetCells}`);
	const { outline, regions, taper, bands } = subject;
	const stretches = bandStretches(subject);
	const low = Math.min(...stretches.map(({ from }) => from));
	const high = Math.max(...stretches.map(({ to }) => to));
	const radiusAt = (z: number) =>
		(Math.sqrt(outline.area / Math.PI) * taper.circumferenceAt(z)) / outline.circumference;
	const extent = subject.extent ?? {
		from: low - MARGIN * radiusAt(low),
		to: high + MARGIN * radiusAt(high),
	};
	const fineness = (USUAL_CELLS / targetCells) ** (1 / 3);
	const levels = cutLayers(extent.from, extent.to, stretches, {
		near: (layer ?? fineness * NEAR) * Math.min(...bands.map(({ electrodeHeight }) => electrodeHeight)),
		far: fineness * FAR * radiusAt((low + high) / 2),
	});
	const layers = levels.length - 1;

	const ring = cutRing(placeBands(subject), outline.circumference);
	const section = meshLimb({
		outline,
		electrodes: ring.parts,
		regions,
		targetTriangles: Math.max(LEAST_TRIANGLES, Math.round(targetCells / layers)),
	});
	const firsts = bands.map((_, b) =>
		bands.slice(0, b).reduce((sum, { band }) => sum + band.electrodeCount, 0),
	);
	return stackSection({
		section,
		places: sectionPlaces(section.nodes, outline, subject.fatThickness),
		levels,
		scales: levels.map((z) => taper.circumferenceAt(z) / outline.circumference),
		electrodeOver: Array.from({ length: layers }, (_, k) => {
			const middle = (levels[k]! + levels[k + 1]!) / 2;
			const b = stretches.findIndex(({ from, to }) => middle > from && middle < to);
			if (b < 0) return null;
			return ring.electrodeOver[b]!.map((electrode) => (electrode < 0 ? -1 : firsts[b]! + electrode));
		}),
		electrodeCount: subject.contactImpedance.length,
	});
}

/** [nCells] S/m at rest. */
export function restSigmaOf(subject: VolumeSubject, { regionOf, levels }: VolumeMesh): Float64Array {
	const layers = levels.length - 1;
	const sigma = new Float64Array(regionOf.length * layers);
	for (let k = 0; k < layers; k++)
		for (const [t, label] of regionOf.entries())
			sigma[k * regionOf.length + t] =
				label === 0 ? subject.backgroundSigma : subject.regions[label - 1]!.sigma;
	return sigma;
}
