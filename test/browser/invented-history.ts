/** Weeks of sessions of an invented person, written straight into a data folder: what the screens of a clinic show
 *  without waiting for a simulated band. Sets are counted and summed up by the same code as live ones. */
import { join } from "node:path";
import { inventedBand, inventedLimb } from "../../app/link/simulated/invented-person.ts";
import { ALGORITHM_VERSION } from "../../app/session/algorithm-version.ts";
import { openStore, type Store } from "../../app/store/store.ts";
import { createPattern } from "../../core/band/patterns.ts";
import type { RegionReference } from "../../core/exercise/engagement.ts";
import { library } from "../../core/exercise/library.ts";
import { type PlanItem, planItemOf } from "../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { usualReference } from "../../core/exercise/reference-contraction.ts";
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";
import { createSeededRandom, type SeededRandom } from "../../core/exercise/seeded-random.ts";
import { summariseSet } from "../../core/exercise/set-summary.ts";
import type { Result } from "../../core/result.ts";
import { createThighReadings } from "../session/thigh-readings.ts";

export interface InventedHistory {
	readonly personId: number;
	/** Oldest first. */
	readonly sessions: readonly { readonly id: number; readonly side: "left" | "right" }[];
}

const regions = [
	{ id: "rectus-femoris", name: "Rectus femoris", share: 0.55 },
	{ id: "vastus-lateralis", name: "Vastus lateralis", share: 0.9 },
	{ id: "vastus-medialis", name: "Vastus medialis", share: 1 },
	{ id: "vastus-intermedius", name: "Vastus intermedius", share: 0.5 },
	{ id: "hamstrings", name: "Hamstrings", share: 0.12 },
	{ id: "adductors", name: "Adductors", share: 0.08 },
] as const;

/** S/m, of every region at full effort; the muscles here become less conductive. */
const FULL_CHANGE = -0.02;
const NOISE = 0.0002;
const FRAMES_PER_SECOND = 10;
const REST_SECONDS = 8;
const CURRENT_MILLIAMP = 1;
const LEAD = regions.findIndex(({ id }) => id === "vastus-medialis");

export interface HistoryOptions {
	readonly sessions: number;
	/** How many of the newest hold frames, so that pictures can be made of them. */
	readonly withFrames: number;
}

export function createInventedHistory(folder: string, options: HistoryOptions): InventedHistory {
	let now = Date.UTC(2026, 2, 2, 8, 0, 0);
	const opened = openStore({
		path: join(folder, "tautline.sqlite"),
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: "0.1.0",
		now: () => now,
		timers: { setInterval: () => 0, clearInterval: () => {} },
		onFault: (fault) => {
			throw new Error(`invented history: ${fault.kind}`);
		},
	});
	const store = unwrap(opened);
	const random = createSeededRandom(11);
	const person = unwrap(
		store.savePerson({ id: null, code: "P-014", displayName: "Robin Example", affectedSide: "right" }),
	);
	unwrap(
		store.savePersonDetails({
			personId: person.id,
			goals: "Climb stairs without a rail by May; walk 5 km.",
			archived: false,
		}),
	);
	const exercises = ["quad-set", "straight-leg-raise"].map((id) => library.find((known) => known.id === id)!);
	const items = exercises.map((exercise) => planItemOf(exercise, "right"));
	unwrap(
		store.savePlan(person.id, {
			from: "2026-03-02",
			items,
			schedule: { weekdays: [1, 2, 3, 4, 5, 6], timesPerDay: 1 },
			reason: "First plan",
		}),
	);
	const framesOf = (side: "left" | "right") => {
		const readings = createThighReadings("four-terminal", side);
		return { rest: readings.rest, tensed: readings.tensed("vastus-medialis") };
	};
	const frames = options.withFrames > 0 ? { left: framesOf("left"), right: framesOf("right") } : null;
	const made: { id: number; side: "left" | "right" }[] = [];

	for (let index = 0; index < options.sessions; index++) {
		now = Date.UTC(2026, 2, 2 + Math.floor(index * (42 / options.sessions)), 8, 30, 0);
		const side = index === options.sessions - 2 ? "left" : "right";
		// The band goes a little higher half-way, and another reference is taken then.
		const isLater = index >= options.sessions / 2;
		const limb = { ...inventedLimb, side, level: isLater ? 0.54 : 0.5 } as const;
		const band = inventedBand(16);
		const limbId = unwrap(store.saveLimb(person.id, limb));
		const bandId = unwrap(store.saveBand(band));
		const conditions: MeasuringConditions = {
			bandId,
			bandLevel: limb.level,
			firstElectrodeDegrees: 0,
			side,
			circumferenceMetre: 0.52,
			referenceId: null,
			hamstringReferenceId: null,
			drive: "adjacent four-terminal 208",
			regularisation: "diagonal noise-figure",
			frequencyHertz: 50_000,
			currentMilliamp: CURRENT_MILLIAMP,
			softwareVersion: "0.1.0",
			simulated: true,
		};
		const references = referencesOf();
		const referenceId =
			index === 0 || isLater !== index - 1 >= options.sessions / 2 || side === "left"
				? unwrap(
						store.addReference({
							personId: person.id,
							takenAt: new Date(now).toISOString(),
							protocol: usualReference,
							unit: "S/m",
							regions: regions.map(({ id, name }, r) => ({ id, name, reference: references[r]! })),
							conditions,
						}),
					)
				: unwrap(store.latestReference(person.id, side))!.id;
		// Recovery that levels off.
		const strength = 0.42 + 0.38 * (1 - Math.exp(-index / 14)) + (side === "left" ? 0.08 : 0);
		const id = writeSession(
			store,
			{
				personId: person.id,
				limbId,
				bandId,
				startedAt: new Date(now).toISOString(),
				conditions: { ...conditions, referenceId },
				items: items.map((item) => ({ ...item, side })),
				references,
				strength,
				pain: Math.max(0, Math.round(5 - index / 8)),
				frames: frames !== null && index >= options.sessions - options.withFrames ? frames[side] : null,
			},
			random,
		);
		made.push({ id, side });
	}
	unwrap(store.endPlan(person.id, "2026-04-13"));
	store.dispose();
	return { personId: person.id, sessions: made };
}

interface SessionPlan {
	readonly personId: number;
	readonly limbId: number;
	readonly bandId: number;
	readonly startedAt: string;
	readonly conditions: MeasuringConditions;
	readonly items: readonly PlanItem[];
	readonly references: readonly RegionReference[];
	/** Share of the reference. */
	readonly strength: number;
	readonly pain: number;
	/** [208] V at 1 mA */
	readonly frames: { readonly rest: Float64Array; readonly tensed: Float64Array } | null;
}

function writeSession(store: Store, plan: SessionPlan, random: SeededRandom): number {
	const recorder = unwrap(
		store.startSession({
			personId: plan.personId,
			limbId: plan.limbId,
			bandId: plan.bandId,
			title: "Plan of the day",
			startedAt: plan.startedAt,
			board: {
				board: "invented",
				firmware: "1.0",
				serial: "0000",
				protocolVersion: 1,
				bandCount: 1,
				bootNumber: 1,
				simulated: true,
			},
			currentLimitMilliamp: 1,
			algorithmVersion: ALGORITHM_VERSION,
			prior: "diagonal",
			rule: "noise-figure",
		}),
	);
	recorder.addConfiguration({
		configuration: 1,
		bandIndex: 0,
		electrodeCount: 16,
		drive: "adjacent",
		terminals: "four-terminal",
		readingCount: 208,
		listedTerminals: null,
		currentMilliamp: CURRENT_MILLIAMP,
		frequencyHertz: 50_000,
		gain: 1,
		voltsPerUnit: 1e-9,
		fullScale: 2 ** 31 - 1,
		pattern: createPattern(16, "adjacent").terminals,
		readingCurrentAmpere: null,
	});
	const series = recorder.addSeries({
		bandIndex: 0,
		algorithmVersion: ALGORITHM_VERSION,
		prior: "diagonal",
		rule: "noise-figure",
		lambda: 0.021,
		noiseFigure: 0.5,
		unit: "S/m",
		regions: regions.map(({ id, name }) => ({ id, name })),
	});
	const { frames } = plan;
	if (frames !== null) {
		recorder.appendBaseline({
			bandIndex: 0,
			fromOrdinal: 0,
			takenAt: plan.startedAt,
			seconds: 5,
			frameCount: 50,
			automatic: false,
			configuration: 1,
			median: frames.rest.map((volt) => Math.round(volt / 1e-9)),
			noise: frames.rest.map((volt) => Math.max(1, Math.abs(volt / 1e-9) * 1e-4)),
		});
	}
	recorder.appendContacts(
		0,
		Float64Array.from({ length: 16 }, () => random.between(300, 900)),
	);
	let time = 1;
	let sequence = 0;
	const values = new Float64Array(208);
	for (const [itemIndex, item] of plan.items.entries()) {
		for (let set = 1; set <= Math.min(3, item.dose.sets); set++) {
			const made = simulate(item, plan, time, set, random);
			if (frames !== null) {
				for (let i = 0; i < made.times.length; i++) {
					const activity = made.activity[i]!;
					for (let k = 0; k < 208; k++) {
						const volt = frames.rest[k]! + activity * (frames.tensed[k]! - frames.rest[k]!);
						values[k] = Math.round(volt * (1 + 1e-4 * random.normal()) * 1e9);
					}
					const timeMicros = Math.round(made.times[i]! * 1e6);
					const frame = { bandIndex: 0, sequence: sequence++, timeMicros, configuration: 1, values };
					const ordinal = recorder.appendFrame(frame, Date.parse(plan.startedAt), 0, 1);
					recorder.appendTrend(
						series,
						ordinal,
						Float32Array.from(made.columns, (column) => column[i]!),
					);
				}
			}
			unwrap(
				store.addSet({
					sessionId: recorder.sessionId,
					plan: null,
					item,
					result: {
						set,
						start: made.workStart,
						end: made.times.at(-1)!,
						countedIn: regions[LEAD]!.id,
						repetitions: made.repetitions,
						summary: made.summary,
						count: {
							automatic: { full: made.summary.full, partial: made.summary.partial },
							personal: null,
							corrections: [],
						},
						answer: {
							pain: Math.max(0, plan.pain - (set === 1 ? 1 : 0)),
							effort: 3 + set / 2 + itemIndex,
							symptoms: [],
						},
					},
					painBefore: Math.max(0, plan.pain - 1),
					conditions: plan.conditions,
				}),
			);
			time = made.times.at(-1)! + 1;
		}
	}
	unwrap(recorder.close());
	return recorder.sessionId;
}

/** One set at the person's own strength, counted by the counter. */
function simulate(item: PlanItem, plan: SessionPlan, start: number, set: number, random: SeededRandom) {
	const hold = Math.min(5, Math.max(1.2, item.dose.holdSeconds));
	const repetitions = Math.min(8, item.dose.repetitions);
	const cycle = hold + 3;
	const workStart = start + REST_SECONDS;
	const total = REST_SECONDS + repetitions * cycle + 3;
	const n = Math.round(total * FRAMES_PER_SECOND);
	const peaks = Array.from(
		{ length: repetitions },
		(_, i) => plan.strength * (1 - 0.012 * i * set) * (1 + 0.05 * random.normal()),
	);
	const times = Float64Array.from({ length: n }, (_, i) => start + i / FRAMES_PER_SECOND);
	const activity = times.map((time) => {
		const at = time - workStart - 1;
		const i = Math.floor(at / cycle);
		if (at < 0 || i >= repetitions) return 0;
		const within = at - i * cycle;
		const rise = Math.min(1, within / 0.6, Math.max(0, (hold + 0.6 - within) / 0.6));
		return Math.max(0, peaks[i]! * rise);
	});
	const columns = regions.map(({ share }) =>
		activity.map((work) => FULL_CHANGE * share * work + NOISE * random.normal()),
	);
	const counter = createRepetitionCounter({
		rest: { level: 0, noise: NOISE },
		referenceChange: FULL_CHANGE * regions[LEAD]!.share,
		target: item.dose.target,
		learned: null,
		longestSeconds: 40,
	});
	times.forEach((time, i) => {
		if (time >= workStart) counter.add(time, columns[LEAD]![i]!);
	});
	counter.finish();
	const counted = counter.repetitions();
	const summary = summariseSet({
		repetitions: counted,
		referenceChange: FULL_CHANGE * regions[LEAD]!.share,
		times,
		regions: regions.map(({ id }, r) => ({
			regionId: id,
			reference: plan.references[r]!,
			values: columns[r]!,
		})),
	});
	return { times, activity, columns, workStart, repetitions: counted, summary };
}

function referencesOf(): readonly RegionReference[] {
	return regions.map(({ id, share }) =>
		id === "adductors"
			? { state: "not-detected", reason: "within-noise", rest: { level: 0, noise: NOISE } }
			: {
					state: "taken",
					rest: { level: 0, noise: NOISE },
					change: FULL_CHANGE * share,
					variationPercent: 7,
					repeatability: "repeatable",
				},
	);
}

function unwrap<T>(result: Result<T, unknown>): T {
	if (!result.ok) throw new Error(`invented history: ${JSON.stringify(result.error)}`);
	return result.value;
}
