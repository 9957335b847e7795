/** Days of a person's history in words. */
import type { Progress } from "../../app/contract.ts";
import { formatDay } from "./quantity.ts";

export interface ProgressDays {
	/** Days from the first session to the last. */
	readonly last: number;
	/** Such as 3 Mar. */
	text(day: number): string;
	/** Such as 3 Mar 2026. */
	long(day: number): string;
}

/** One formatter for all days: making them is what takes time. */
export function daysOf({ startedAt, measures, pain }: Progress): ProgressDays {
	const short = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short" });
	const start = startedAt === null ? 0 : Date.parse(startedAt);
	const at = (day: number): Date => new Date(start + day * 86_400_000);
	const all = [...measures.flatMap(({ points }) => points), ...pain.points];
	const texts = new Map<number, string>();
	return {
		last: Math.max(0, ...all.map(({ day }) => day)),
		text(day) {
			const known = texts.get(day);
			if (known !== undefined) return known;
			const text = short.format(at(day)).replace(" ", "\u00a0");
			texts.set(day, text);
			return text;
		},
		long: (day) => formatDay(at(day).toISOString()),
	};
}

/** When each session with sets was, by its number. */
export function startsOf({ measures }: Pick<Progress, "measures">): ReadonlyMap<number, string> {
	return new Map(
		measures.flatMap(({ points }) =>
			points.map(({ sessionId, startedAt }) => [sessionId, startedAt] as const),
		),
	);
}
