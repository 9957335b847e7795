/** Fills an empty store with invented people and six weeks of their simulated sessions. */
import { dayNumberOf, dayOfNumber, weekdayOf } from "../../../core/exercise/calendar-day.ts";
import { libraryExerciseOf } from "../../../core/exercise/library.ts";
import type { PlanItem } from "../../../core/exercise/plan.ts";
import { usualStopLimits } from "../../../core/exercise/stop-rules.ts";
import { failure, type Result, success } from "../../../core/result.ts";
import { cautions } from "../../../core/safety/cautions.ts";
import type { Fault, LimbSetup } from "../../contract.ts";
import { Random } from "../../link/simulated/random.ts";
import { toRfc3339 } from "../../store/date-time.ts";
import type { Store } from "../../store/store.ts";
import type { FittingReferences } from "../measuring-conditions.ts";
import {
	bandOf,
	type Day,
	DEMO_DAYS,
	type DemoPerson,
	dayOf,
	demoPeople,
	incidentsOf,
	isTroubled,
	LARGEST_SLIP_METRE,
	notesFor,
	seatAt,
	TURNED_DEGREES,
	TURNED_FROM_DAY,
} from "./demo-people.ts";
import {
	DemoFault,
	type DemoModel,
	exercise,
	type Sitting,
	type Task,
	takeReferences,
	unwrap,
} from "./demo-sitting.ts";
import { WornBand } from "./worn-band.ts";

export interface DemoClinicOptions {
	readonly store: Store;
	/** The six weeks end on the day before this, ms since the epoch. */
	readonly today: number;
	/** Turns the store's clock: records carry the days of the story. */
	readonly setNow: (milliseconds: number) => void;
	/** @param share 0 to 1 */
	readonly onProgress: (share: number, what: string) => void;
	/** Only the first so many, for a test. */
	readonly people?: readonly DemoPerson[];
	readonly days?: number;
}

/** Tells a demo's records from others. */
const DEMO_SETTING = "isDemo";

/** Whether everybody in these records is invented. */
export function isDemoStore(store: Store): boolean {
	const setting = store.setting(DEMO_SETTING);
	return setting.ok && setting.value === true;
}

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
/** On these days the other thigh is measured, too. */
const bothSidesOn = [0, 20, 40] as const;

/** Takes some tens of seconds on the calling thread; in a piece of its own for each session. */
export async function fillDemoClinic(options: DemoClinicOptions): Promise<Result<null, Fault>> {
	const { store, people = demoPeople, onProgress } = options;
	try {
		unwrap(store.saveSetting(DEMO_SETTING, true));
		unwrap(store.saveSetting("acknowledgeCautions", { version: cautions.version }));
		for (const [i, person] of people.entries()) {
			const piece = (share: number): void => onProgress((i + share) / people.length, person.displayName);
			piece(0);
			await fillPerson(options, person, i, piece);
		}
		onProgress(1, "done");
		return success(null);
	} catch (error) {
		if (error instanceof DemoFault) return failure(error.fault);
		throw error;
	}
}

interface WornLimb {
	readonly worn: WornBand;
	readonly limbId: number;
	readonly bandId: number;
	model: DemoModel | null;
	references: FittingReferences | null;
	sittings: number;
}

async function fillPerson(
	options: DemoClinicOptions,
	who: DemoPerson,
	index: number,
	onPiece: (share: number) => void,
): Promise<void> {
	const { store, setNow, today, days = DEMO_DAYS } = options;
	const random = new Random(index + 1, `weeks of ${who.code}`);
	// By the wall clock, so that a change of it does not move a session to another day.
	const startMs = (day: number): number => {
		const date = new Date(today - (days - day) * DAY_MS);
		return date.setHours(9, 0, 0, 0) + index * HOUR_MS;
	};
	const isNew = who.story === "new";
	const first = toRfc3339(startMs(isNew ? days : 0)).slice(0, 10);
	setNow(startMs(isNew ? days - 1 : 0) - HOUR_MS);
	const { code, displayName, affectedSide } = who;
	const { id: personId } = unwrap(store.savePerson({ id: null, code, displayName, affectedSide }));
	unwrap(store.savePersonDetails({ personId, goals: who.goals, archived: false }));
	unwrap(store.acknowledgeForPerson({ personId, version: cautions.version }));

	const wear = (limb: LimbSetup, degrees: number): WornLimb => {
		const band = bandOf(degrees);
		const slips = who.story === "slippage" && degrees === 0;
		const seed = 100 * (index + 1) + (limb.side === affectedSide ? 0 : 1);
		return {
			worn: new WornBand({ limb, band, seed, largestSlipMetre: slips ? LARGEST_SLIP_METRE : 0 }),
			limbId: unwrap(store.saveLimb(personId, limb)),
			bandId: unwrap(store.saveBand(band)),
			model: null,
			references: null,
			sittings: 0,
		};
	};

	/** @param session null for one in which nothing happens to the band */
	const sit = (on: WornLimb, day: number, hour: number, session: number | null): Sitting => {
		const troubled = session !== null && isTroubled(who.story, session);
		return {
			store,
			setNow,
			startMs: startMs(day) + hour * HOUR_MS,
			personId,
			limbId: on.limbId,
			bandId: on.bandId,
			worn: on.worn,
			session: 1000 * index + 10 * day + on.sittings++,
			day: dayOf(who.story, day / DEMO_DAYS, random.normal()),
			seatAt: (seconds) => seatAt(who.story, troubled, seconds),
			incidents: troubled ? incidentsOf(who.story) : [],
			dropShare: troubled && who.story === "poor-contact" ? 0.03 : 0,
		};
	};

	const refer = (on: WornLimb, day: number, hour: number): void => {
		const taken = takeReferences(sit(on, day, hour, null), on.model);
		on.references = taken.references;
		on.model = taken.model;
	};

	const items = itemsFor(affectedSide);
	const schedule = { weekdays: [...who.weekdays], timesPerDay: 1 };
	unwrap(store.savePlan(personId, { from: first, items, schedule, reason: "First plan (invented)" }));

	let affected = wear(who.limbs.affected, 0);
	refer(affected, isNew ? days - 1 : 0, -0.5);
	const other = who.story === "recovery" ? wear(who.limbs.other, 0) : null;
	if (other !== null) refer(other, 0, -0.3);
	const planned = plannedDays(who, first, days, random);
	let before: Day | null = null;
	for (const [session, day] of planned.entries()) {
		if (
			who.story === "slippage" &&
			day >= TURNED_FROM_DAY &&
			affected.worn.band.firstElectrodeDegrees === 0
		) {
			affected = wear(who.limbs.affected, TURNED_DEGREES);
			refer(affected, day, -0.5);
		}
		if (day >= 21) reviseOnce(store, personId, who, items, dayOfNumber(dayNumberOf(first) + 21));
		const stored = unwrap(store.newestPlan(personId))!;
		const version = stored.plan.versions.at(-1)!;
		const tasks: Task[] = version.items.map((item, itemIndex) => ({
			item,
			plan: { stored, version: version.version, itemIndex },
		}));
		const sitting = sit(affected, day, 0, session);
		// What hurt has settled by the next morning to what it was before: the plan goes on as it is.
		unwrap(
			store.addCheckIn(personId, {
				toldAt: toRfc3339(sitting.startMs),
				now: sitting.day.painBefore,
				nextMorning:
					before !== null && before.painAfter > usualStopLimits.painFine ? before.painBefore : null,
			}),
		);
		before = sitting.day;
		const sessionId = exercise(sitting, affected.model!, affected.references!, tasks);
		const notes = notesFor(who.story, session, planned.length);
		if (notes !== null) unwrap(store.saveSoap({ sessionId, ...notes }));
		if (session === 2) correctOne(store, sessionId, sitting.startMs);
		if (other !== null && bothSidesOn.some((wanted) => wanted === nearest(planned, wanted, day))) {
			const able = dayOf("recovery", 0.9, random.normal());
			const { painBefore, painAfter, toldEffort } = sitting.day;
			const sound = { ...sit(other, day, 0.5, null), day: { ...able, painBefore, painAfter, toldEffort } };
			const item = { ...items[0]!, side: other.worn.limb.side };
			exercise(sound, other.model!, other.references!, [{ item, plan: null }]);
		}
		onPiece((session + 1) / planned.length);
		await new Promise((resolve) => setImmediate(resolve));
	}
	setNow(today);
	if (index === 0) {
		const { limb, band } = affected.worn;
		unwrap(store.saveSetting("setUp", { personId, limb, band }));
	}
}

/** Doses of a few minutes, so that six weeks are soon made. */
function itemsFor(side: "left" | "right"): PlanItem[] {
	const of = (id: string, change: Partial<PlanItem["dose"]>): PlanItem => {
		const found = libraryExerciseOf(id)!;
		return { exercise: found, dose: { ...found.dose, ...change }, side, note: "" };
	};
	return [
		of("quad-set", { sets: 2, repetitions: 4, holdSeconds: 4, pauseSeconds: 3, restSeconds: 8 }),
		of("straight-leg-raise", { sets: 1, repetitions: 6, restSeconds: 8 }),
	];
}

/** Days from the first on which the person came. */
function plannedDays(who: DemoPerson, first: string, days: number, random: Random): number[] {
	if (who.story === "new") return [];
	return Array.from({ length: days }, (_, day) => day).filter(
		(day) =>
			who.weekdays.includes(weekdayOf(dayOfNumber(dayNumberOf(first) + day))) &&
			random.uniform() >= who.missedShare,
	);
}

/** The day that was come to nearest to the wanted one gives the wanted one back. */
function nearest(planned: readonly number[], wanted: number, day: number): number {
	const closest = [...planned].sort((a, b) => Math.abs(a - wanted) - Math.abs(b - wanted))[0];
	return closest === day ? wanted : Number.NaN;
}

/** Halfway, whoever recovers gets a higher target. */
function reviseOnce(
	store: Store,
	personId: number,
	who: DemoPerson,
	items: readonly PlanItem[],
	from: string,
): void {
	const { plan } = unwrap(store.newestPlan(personId))!;
	if (who.story !== "recovery" || plan.versions.length > 1) return;
	const more = items.map((item) => ({
		...item,
		dose: { ...item.dose, target: { low: 50, high: 110 } },
	}));
	const schedule = { weekdays: [...who.weekdays], timesPerDay: 1 };
	unwrap(
		store.savePlan(personId, { from, items: more, schedule, reason: "Goes well: higher target (invented)" }),
	);
}

function correctOne(store: Store, sessionId: number, startMs: number): void {
	const set = unwrap(store.listSets(sessionId)).at(-1);
	if (set?.countThatHolds == null) return;
	const count = { ...set.countThatHolds, full: set.countThatHolds.full + 1 };
	const at = toRfc3339(startMs + HOUR_MS / 6);
	unwrap(
		store.correctSet(set.id, {
			count,
			by: "clinician",
			at,
			reason: "One was seen that was not counted (invented)",
		}),
	);
}
