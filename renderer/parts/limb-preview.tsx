/** A drawing of the thigh as it is being entered: skin, fat, electrodes and their numbers. */
import type { ReadSetUp } from "../set-up-form.ts";
import { words } from "../text/words.ts";

/** Points along the skin, enough for a smooth line at this size. */
const SKIN_POINTS = 180;
const SIZE = 320;
const MARGIN = 44;

export function LimbPreview({ read }: { readonly read: ReadSetUp | null }) {
	if (read === null) {
		return <div class="preview preview-empty">{words.setUp.fixFirst}</div>;
	}
	const { outline, thigh, electrodes, argument } = read;
	const skin = Array.from({ length: SKIN_POINTS }, (_, i) =>
		outline.pointAt((outline.circumference * i) / SKIN_POINTS),
	);
	const [middleX, middleY] = outline.centroid;
	const reach = Math.max(...skin.map(([x, y]) => Math.max(Math.abs(x - middleX), Math.abs(y - middleY))));
	const scale = (SIZE / 2 - MARGIN) / reach;
	const at = (x: number, y: number): string =>
		`${(SIZE / 2 + (x - middleX) * scale).toFixed(1)},${(SIZE / 2 - (y - middleY) * scale).toFixed(1)}`;
	const outward = (s: number, distance: number): string => {
		const [x, y] = outline.pointAt(s);
		const length = Math.hypot(x - middleX, y - middleY);
		const grow = 1 + distance / (length * scale);
		return at(middleX + (x - middleX) * grow, middleY + (y - middleY) * grow);
	};
	const { electrodeCount } = argument.band;
	const every = electrodeCount <= 24 ? 1 : electrodeCount <= 40 ? 2 : 4;
	const lateralIsRight = argument.limb.side === "left";
	return (
		<svg
			class="preview"
			viewBox={`0 0 ${SIZE} ${SIZE}`}
			role="img"
			aria-label={words.setUp.previewCanvas(electrodeCount, argument.limb.side)}
		>
			<polygon class="preview-skin" points={skin.map(([x, y]) => at(x, y)).join(" ")} />
			{thigh.regions.slice(1).map((region) => (
				<polygon
					key={region.id}
					class={region.tissue === "bone" ? "preview-bone" : "preview-muscle"}
					points={region.points.map(([x, y]) => at(x, y)).join(" ")}
				/>
			))}
			{Array.from({ length: electrodeCount }, (_, i) => {
				const start = electrodes.start[i]!;
				const end = electrodes.end[i]!;
				const [x, y] = outward((start + end) / 2, 20).split(",");
				return (
					<g key={i} class={i === 0 ? "preview-first" : ""}>
						<polyline
							class="preview-electrode"
							points={[0, 0.25, 0.5, 0.75, 1]
								.map((share) => outward(start + share * (end - start), 5))
								.join(" ")}
						/>
						{i % every === 0 && (
							<text class="preview-number" x={x} y={y} dy="0.35em">
								{i + 1}
							</text>
						)}
					</g>
				);
			})}
			<text class="preview-word" x={SIZE / 2} y={10} dy="0.35em">
				{words.picture.anterior}
			</text>
			<text class="preview-word" x={SIZE / 2} y={SIZE - 10} dy="0.35em">
				{words.picture.posterior}
			</text>
			<text class="preview-word" transform={`translate(9 ${SIZE / 2}) rotate(-90)`} dy="0.35em">
				{lateralIsRight ? words.picture.medial : words.picture.lateral}
			</text>
			<text class="preview-word" transform={`translate(${SIZE - 9} ${SIZE / 2}) rotate(-90)`} dy="0.35em">
				{lateralIsRight ? words.picture.lateral : words.picture.medial}
			</text>
		</svg>
	);
}
