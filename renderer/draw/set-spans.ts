/** Sets as spans over the lines of a recording: where they lie in time, and which of their names fit. */

export interface SetSpan {
	readonly setId: number;
	/** Seconds of the recording. */
	readonly from: number;
	readonly to: number;
	/** `Quad set, set 2`, and `2` where that does not fit. */
	readonly name: string;
	readonly shortName: string;
	/** Onset to offset of each repetition, s; full ones only. */
	readonly repetitions: readonly (readonly [from: number, to: number])[];
}

export interface PlacedSpan {
	readonly span: SetSpan;
	/** px, cut at the plot's ends. */
	readonly left: number;
	readonly right: number;
	/** Empty where not even the short one fits. */
	readonly text: string;
}

const ROOM_AROUND_TEXT = 8;

/** `measure` gives a text's width in px. Spans outside `from` to `to` are left out. */
export function placeSpans(
	spans: readonly SetSpan[],
	from: number,
	to: number,
	left: number,
	width: number,
	measure: (text: string) => number,
): PlacedSpan[] {
	const x = (seconds: number): number =>
		left + (width * (Math.max(from, Math.min(to, seconds)) - from)) / (to - from);
	return spans
		.filter((span) => span.to > from && span.from < to)
		.map((span) => {
			const placed = { span, left: x(span.from), right: x(span.to) };
			const room = placed.right - placed.left - ROOM_AROUND_TEXT;
			const text = [span.name, span.shortName].find((name) => measure(name) <= room) ?? "";
			return { ...placed, text };
		});
}

/** The same spans on a time axis that is `seconds` further on. */
export function shiftSpans(spans: readonly SetSpan[], seconds: number): readonly SetSpan[] {
	if (seconds === 0) return spans;
	return spans.map((span) => ({
		...span,
		from: span.from + seconds,
		to: span.to + seconds,
		repetitions: span.repetitions.map(([onset, offset]) => [onset + seconds, offset + seconds] as const),
	}));
}
