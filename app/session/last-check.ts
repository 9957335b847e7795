/** The last signal check that came to its end, and whether it still tells of the band that is on. */
import { z } from "zod";
import { type CheckResult, checkSteps } from "../../core/signal/signal-check.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import type { Live } from "./live.ts";
import type { SetUp } from "./set-up.ts";

export interface LastCheck {
	/** Of today, with this board's bands on this limb; null else. */
	readonly result: CheckResult | null;
	keep(result: CheckResult): void;
	/** The band was taken off. */
	forget(): void;
}

export interface LastCheckParts {
	readonly clock: Clock;
	readonly live: Pick<Live, "boardSerial">;
	readonly setUp: SetUp;
	readonly store: Store | null;
}

interface Kept {
	readonly key: string;
	readonly result: CheckResult;
}

const SETTING = "lastSignalCheck";

/** What its numbers are of was checked when it was made. */
const checkResultSchema = z.object({
	endedAt: z.string(),
	seconds: z.number(),
	steps: z
		.array(
			z.object({
				id: z.enum(checkSteps),
				status: z.enum(["waiting", "running", "good", "advice", "stopped", "passed-over"]),
				finding: z.looseObject({ step: z.enum(checkSteps) }).nullable(),
			}),
		)
		.length(checkSteps.length),
});

/** As it was kept with a session or as a setting; null for anything else. */
export function readCheckResult(stored: unknown): CheckResult | null {
	const parsed = checkResultSchema.safeParse(stored);
	return parsed.success ? (parsed.data as unknown as CheckResult) : null;
}

export function createLastCheck({ clock, live, setUp, store }: LastCheckParts): LastCheck {
	let kept = restore(store);

	function key(): string {
		const { limb, band } = setUp.limbAndBand;
		return JSON.stringify([setUp.person?.id ?? null, limb.side, limb.level, band, live.boardSerial]);
	}

	/** A record that refuses is told by whoever writes to it next; until the app ends the check holds all the same. */
	function save(): void {
		store?.saveSetting(SETTING, kept);
	}

	return {
		get result() {
			if (kept === null) return null;
			const isOfToday = kept.result.endedAt.slice(0, 10) === toRfc3339(clock.now()).slice(0, 10);
			return isOfToday && kept.key === key() ? kept.result : null;
		},
		keep(result) {
			kept = { key: key(), result };
			save();
		},
		forget() {
			kept = null;
			save();
		},
	};
}

function restore(store: Store | null): Kept | null {
	const stored = store?.setting(SETTING);
	if (stored === undefined || !stored.ok) return null;
	const parsed = z.object({ key: z.string(), result: z.unknown() }).safeParse(stored.value);
	if (!parsed.success) return null;
	const result = readCheckResult(parsed.data.result);
	return result === null ? null : { key: parsed.data.key, result };
}
