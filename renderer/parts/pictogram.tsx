import type { ReferenceTarget } from "../../core/exercise/reference-target.ts";
import { type BandGuideName, bandGuide } from "../draw/band-guide.ts";
import {
	PICTOGRAM_HEIGHT,
	PICTOGRAM_WIDTH,
	pictogramOf,
	referenceDrawings,
	type Stroke,
} from "../draw/pictograms.ts";

/** An exercise's drawing. Its words always stand beside it, so it is hidden from screen readers. */
export function ExercisePictogram({ drawing }: { readonly drawing: string | null }) {
	return <Drawing strokes={pictogramOf(drawing)} />;
}

export function ReferencePictogram({ target }: { readonly target: ReferenceTarget }) {
	return <Drawing strokes={referenceDrawings[target]} />;
}

export function BandGuidePictogram({ step }: { readonly step: BandGuideName }) {
	return <Drawing strokes={bandGuide[step]} />;
}

function Drawing({ strokes }: { readonly strokes: readonly Stroke[] }) {
	return (
		<svg
			class="pictogram"
			viewBox={`0 0 ${PICTOGRAM_WIDTH} ${PICTOGRAM_HEIGHT}`}
			aria-hidden="true"
			focusable="false"
		>
			{strokes.map(({ part, d }) => (
				<path key={d} class={`pictogram-${part}`} d={d} />
			))}
		</svg>
	);
}
