/** Our own line drawings of exercises: a person from the side, the working thigh in the colour for actions. Each is a
 *  list of strokes in a field of 120 × 90, the floor at 82. */

import type { ReferenceTarget } from "../../core/exercise/reference-target.ts";

/** `body` the person, `far` the other leg, `work` the working thigh, `ghost` where a movement starts, `prop` what is used,
 *  `arrow` where it goes. */
export type StrokePart = "prop" | "far" | "ghost" | "body" | "work" | "arrow";

export interface Stroke {
	readonly part: StrokePart;
	/** SVG path data. */
	readonly d: string;
}

export const PICTOGRAM_WIDTH = 120;
export const PICTOGRAM_HEIGHT = 90;

const floor: Stroke = { part: "prop", d: "M6 83.5H114" };

function head(x: number, y: number): Stroke {
	const r = 7.5;
	return { part: "body", d: `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z` };
}

/** A straight arrow; its head is two short strokes. */
function arrow(x: number, from: number, to: number): Stroke {
	const back = to > from ? -6 : 6;
	return { part: "arrow", d: `M${x} ${from}V${to}M${x - 5} ${to + back}L${x} ${to}L${x + 5} ${to + back}` };
}

const drawings = {
	"quad-set": [
		floor,
		{ part: "prop", d: "M68 77.5a5 5 0 1 0 10 0a5 5 0 1 0 -10 0Z" },
		head(27, 27),
		{ part: "body", d: "M31 40L42 68" },
		{ part: "body", d: "M31 43L17 79" },
		{ part: "work", d: "M42 69L73 69" },
		{ part: "body", d: "M73 69L104 74L108 63" },
		arrow(73, 42, 59),
	],
	"straight-leg-raise": [
		floor,
		{ part: "far", d: "M56 76L72 52L83 79L91 79" },
		head(15, 72),
		{ part: "body", d: "M26 76L56 76" },
		{ part: "ghost", d: "M60 79L106 79" },
		{ part: "work", d: "M56 76L80 63" },
		{ part: "body", d: "M80 63L104 50L100 40" },
		{ part: "arrow", d: "M111 73C114 66 114 60 112 53M106 57L112 53L116 59" },
	],
	"terminal-knee-extension": [
		floor,
		{ part: "prop", d: "M65 73.5a9 9 0 1 0 18 0a9 9 0 1 0 -18 0Z" },
		head(13, 72),
		{ part: "body", d: "M24 76L46 76" },
		{ part: "ghost", d: "M74 61L95 79" },
		{ part: "work", d: "M46 75L74 60" },
		{ part: "body", d: "M74 60L101 46L96 36" },
		{ part: "arrow", d: "M104 74C109 68 110 62 109 53M103 57L109 53L113 59" },
	],
	"seated-knee-extension": [
		{ part: "prop", d: "M6 83.5H114M26 26V83M26 60H58M56 60V83" },
		head(41, 15),
		{ part: "body", d: "M38 28L38 53" },
		{ part: "body", d: "M38 32L47 46L42 55" },
		{ part: "ghost", d: "M70 54L70 80L79 80" },
		{ part: "work", d: "M38 53L69 53" },
		{ part: "body", d: "M69 53L99 50L100 40" },
		{ part: "arrow", d: "M83 76C92 74 98 69 101 60M94 63L101 60L105 66" },
	],
	"sit-to-stand": [
		{ part: "prop", d: "M6 83.5H114M20 32V83M20 60H48M46 60V83" },
		head(76, 14),
		{ part: "body", d: "M69 25L52 48" },
		{ part: "body", d: "M67 29L79 41L92 37" },
		{ part: "work", d: "M52 48L75 57" },
		{ part: "body", d: "M75 57L66 80L77 80" },
		arrow(34, 51, 33),
	],
	"mini-squat": [
		{ part: "prop", d: "M6 83.5H114M78 46H106M101 46V83" },
		head(53, 14),
		{ part: "body", d: "M50 27L43 51" },
		{ part: "body", d: "M50 31L63 43L80 42" },
		{ part: "work", d: "M43 51L62 62" },
		{ part: "body", d: "M62 62L53 80L64 80" },
		arrow(24, 34, 53),
	],
	"step-up": [
		{ part: "prop", d: "M6 83.5H62V68H106V83.5H114M98 68V34" },
		head(58, 12),
		{ part: "body", d: "M55 25L50 47" },
		{ part: "body", d: "M55 29L69 40L96 38" },
		{ part: "far", d: "M50 47L48 65L38 79L46 82" },
		{ part: "work", d: "M50 47L74 47" },
		{ part: "body", d: "M74 47L73 65L84 65" },
		arrow(26, 58, 38),
	],
	general: [
		floor,
		head(60, 13),
		{ part: "body", d: "M60 26L60 48" },
		{ part: "body", d: "M60 29L47 39L46 52M60 29L73 39L74 52" },
		{ part: "far", d: "M60 48L69 64L69 80L76 80" },
		{ part: "work", d: "M60 48L51 64" },
		{ part: "body", d: "M51 64L51 80L44 80" },
	],
} as const satisfies Record<string, readonly Stroke[]>;

/** What is done for a reference contraction: the knee is pushed down, or the heel pressed down and back. */
export const referenceDrawings: Readonly<Record<ReferenceTarget, readonly Stroke[]>> = {
	quadriceps: drawings["quad-set"],
	hamstrings: [
		{ part: "prop", d: "M6 83.5H114M20 26V83M20 60H52M50 60V83" },
		head(35, 15),
		{ part: "body", d: "M32 28L32 53" },
		{ part: "body", d: "M32 32L41 46L36 55" },
		{ part: "work", d: "M32 54L65 54" },
		{ part: "body", d: "M65 53L73 79L85 76" },
		{ part: "arrow", d: "M108 62C106 70 100 75 91 78M96 71L91 78L100 81" },
	],
};

export type PictogramName = keyof typeof drawings;

export const pictogramNames = Object.keys(drawings) as PictogramName[];

/** The drawing of that name; the general one where there is none. */
export function pictogramOf(name: string | null): readonly Stroke[] {
	return drawings[pictogramNames.find((known) => known === name) ?? "general"];
}
