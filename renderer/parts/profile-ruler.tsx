import { useRef } from "preact/hooks";
import { moveCut, type Range, toggleCut } from "../profile-draft.ts";
import { profileWords as text } from "../text/profile-words.ts";

const mostShown = 400;

/** A line with the borders of its columns: a click makes or takes away one, a drag moves one. The text field beside it
 *  does the same for the keyboard. */
export function ProfileRuler({
	line,
	ranges,
	onChange,
}: {
	readonly line: string;
	readonly ranges: readonly Range[];
	readonly onChange: (ranges: readonly Range[], key?: string) => void;
}) {
	const dragged = useRef<{ at: number; hasMoved: boolean } | null>(null);
	const shown = line.slice(0, mostShown);
	const borders = ranges.slice(1).flatMap(([from], i) => (ranges[i]![1] === from ? [from] : []));

	/** Between which characters the pointer is. */
	function placeOf(event: PointerEvent): number {
		const { left, width } = (event.currentTarget as HTMLElement).getBoundingClientRect();
		return Math.round(((event.clientX - left) / width) * shown.length);
	}

	return (
		<div class="profile-ruler">
			<p class="field-hint">{text.ruler}</p>
			<div class="profile-ruler-scroll">
				<div
					class="profile-ruler-line"
					aria-hidden="true"
					onPointerDown={(event) => {
						const place = placeOf(event);
						const border = borders.find((at) => Math.abs(at - place) <= 1);
						if (border === undefined) {
							onChange(toggleCut(ranges, place));
							return;
						}
						dragged.current = { at: border, hasMoved: false };
						event.currentTarget.setPointerCapture(event.pointerId);
					}}
					onPointerMove={(event) => {
						const drag = dragged.current;
						if (drag === null) return;
						const place = placeOf(event);
						if (place === drag.at) return;
						onChange(moveCut(ranges, drag.at, place), "ranges-drag");
						const moved = borders.indexOf(drag.at);
						const [from, to] = [ranges[moved]?.[0] ?? 0, ranges[moved + 1]?.[1] ?? shown.length];
						dragged.current = { at: Math.max(from + 1, Math.min(to - 1, place)), hasMoved: true };
					}}
					onPointerUp={() => {
						const drag = dragged.current;
						dragged.current = null;
						if (drag !== null && !drag.hasMoved) onChange(toggleCut(ranges, drag.at));
					}}
				>
					{shown}
					{borders
						.filter((at) => at < shown.length)
						.map((at) => (
							<i key={at} style={{ insetInlineStart: `${at}ch` }} />
						))}
				</div>
			</div>
		</div>
	);
}
