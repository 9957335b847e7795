/** One sitting of an invented person: frames from the simulated band go the app's own way to region means, coach and
 *  counter, and everything is stored as a live session is. */
import { ExerciseRun } from "../../../core/exercise/exercise-run.ts";
import type { PlanItem } from "../../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../../core/exercise/progress.ts";
import {
	createReferenceRecorder,
	type ReferenceProtocol,
} from "../../../core/exercise/reference-contraction.ts";
import { type ReferenceTarget, referencesInForce } from "../../../core/exercise/reference-target.ts";
import { createOutline } from "../../../core/limb/outline.ts";
import { createPictureKernel, type PictureKernel } from "../../../core/picture/picture-kernel.ts";
import type { Result } from "../../../core/result.ts";
import { currentLimit } from "../../../core/safety/current-limit.ts";
import { createBaselineCollector, type RestBaseline } from "../../../core/signal/baseline.ts";
import type { Fault, ReferenceRecord } from "../../contract.ts";
import { type ExerciseName, exercises, muscleIds } from "../../link/simulated/exercises.ts";
import { Random } from "../../link/simulated/random.ts";
import { makeModel } from "../../pipeline/make-model.ts";
import type { BuiltModel } from "../../pipeline/messages.ts";
import { toRfc3339 } from "../../store/date-time.ts";
import type { StoredPlan } from "../../store/plans.ts";
import type { SessionRecorder, Store } from "../../store/store.ts";
import { ALGORITHM_VERSION } from "../algorithm-version.ts";
import {
	conditionsWith,
	driveOf,
	type FittingReferences,
	regularisationOf,
} from "../measuring-conditions.ts";
import type { Day, Incident } from "./demo-people.ts";
import { MILLIAMP, type Seat, type WornBand } from "./worn-band.ts";

export const FRAMES_PER_SECOND = 10;
const BASELINE_SECONDS = 3;
const FLUSH_FRAMES = 100;
/** The board's clock when a session begins, µs. */
const FIRST_MICROS = 5_000_000;
/** Standard deviation of one effort against the next. */
const UNLIKE = 0.06;
const LONGEST_SECONDS = 900;
const settings = { prior: "diagonal", rule: "noise-figure" } as const;
/** How fast an effort comes and goes, s. */
const EFFORT_SECONDS = 0.15;

export interface Sitting {
	readonly store: Store;
	/** Turns the store's clock. */
	readonly setNow: (milliseconds: number) => void;
	readonly startMs: number;
	readonly personId: number;
	readonly limbId: number;
	readonly bandId: number;
	readonly worn: WornBand;
	/** Unlike all others of this band. */
	readonly session: number;
	readonly day: Day;
	readonly seatAt: (seconds: number) => Seat;
	readonly dropShare: number;
	/** In order. */
	readonly incidents: readonly Incident[];
}

/** What is reconstructed with, for as long as the band is worn the same way. */
export interface DemoModel {
	readonly built: BuiltModel;
	readonly kernel: PictureKernel;
}

export function unwrap<T>(result: Result<T, Fault>): T {
	if (!result.ok) throw new DemoFault(result.error);
	return result.value;
}

/** The disk refuses, or the like: told by whoever asked for the demo. */
export class DemoFault extends Error {
	override readonly name = "DemoFault";
	readonly fault: Fault;
	constructor(fault: Fault) {
		super(fault.kind);
		this.fault = fault;
	}
}

/** A recording under way. */
class DemoRecording {
	readonly recorder: SessionRecorder;
	readonly conditions: MeasuringConditions;
	model: DemoModel | null;
	seconds = 0;
	readonly #sitting: Sitting;
	readonly #random: Random;
	readonly #scale: number;
	readonly #ohm: Float64Array;
	#series = -1;
	#effort = 0;
	#sequence = 0;
	#lost = 0;
	#marked = 0;

	constructor(sitting: Sitting, title: string, model: DemoModel | null) {
		const { store, worn, startMs, personId, limbId, bandId } = sitting;
		sitting.setNow(startMs);
		this.#sitting = sitting;
		this.model = model;
		this.#random = new Random(sitting.session, `sitting of ${personId}`);
		const { configuration, limb, band } = worn;
		this.#scale = configuration.voltsPerUnit / (MILLIAMP / 1000);
		this.#ohm = new Float64Array(configuration.readingCount);
		this.recorder = unwrap(
			store.startSession({
				personId,
				limbId,
				bandId,
				title,
				startedAt: toRfc3339(startMs),
				board: {
					board: "Simulated board",
					firmware: "demo",
					serial: "invented",
					protocolVersion: 1,
					bandCount: 1,
					bootNumber: sitting.session,
					simulated: true,
				},
				currentLimitMilliamp: 1000 * currentLimit(configuration.frequencyHertz),
				algorithmVersion: ALGORITHM_VERSION,
				...settings,
			}),
		);
		this.recorder.addConfiguration({
			...configuration,
			pattern: worn.terminals,
			readingCurrentAmpere: null,
		});
		this.conditions = {
			bandId,
			bandLevel: limb.level,
			firstElectrodeDegrees: band.firstElectrodeDegrees,
			side: limb.side,
			circumferenceMetre: createOutline(limb.outline).circumference,
			referenceId: null,
			hamstringReferenceId: null,
			drive: driveOf(configuration),
			regularisation: regularisationOf(settings),
			frequencyHertz: configuration.frequencyHertz,
			currentMilliamp: configuration.currentMilliamp,
			softwareVersion: ALGORITHM_VERSION,
			simulated: true,
		};
		worn.putOn(sitting.session);
		this.work("quad set");
		this.#rest();
		this.recorder.appendContacts(0, Float64Array.from(worn.ohm));
	}

	/** No two efforts are alike: what the next one is multiplied by. */
	unlike(): number {
		return 1 + UNLIKE * this.#random.normal();
	}

	/** The board's clock, s. */
	get time(): number {
		return FIRST_MICROS / 1e6 + this.seconds;
	}

	/** What efforts are of, from now on. */
	work(exercise: ExerciseName): void {
		const { engagement } = exercises[exercise];
		this.#sitting.worn.begin(muscleIds.map((id) => engagement[id] * this.#random.between(0.96, 1.04)));
	}

	/** The next frame. @returns region means, valid until the next call; null where the frame was lost */
	next(asked: number): Float32Array | null {
		const { worn, seatAt, setNow, startMs, dropShare } = this.#sitting;
		this.seconds += 1 / FRAMES_PER_SECOND;
		setNow(startMs + 1000 * this.seconds);
		this.#effort += (asked - this.#effort) * -Math.expm1(-1 / FRAMES_PER_SECOND / EFFORT_SECONDS);
		const tremor = 1 + 0.01 * this.#random.normal();
		const counts = worn.read(this.seconds, this.#effort * tremor, seatAt(this.seconds));
		const sequence = this.#sequence++;
		if (this.#random.uniform() < dropShare) {
			this.#lost++;
			return null;
		}
		const timeMicros = FIRST_MICROS + Math.round(1e6 * this.seconds);
		const frame = { bandIndex: 0, sequence, timeMicros, configuration: 1, values: counts };
		const receivedAt = startMs + 1000 * this.seconds;
		const ordinal = this.recorder.appendFrame(frame, receivedAt, 0, usableShare(counts));
		const incident = this.#sitting.incidents[this.#marked];
		if (incident !== undefined && this.seconds >= incident.seconds) {
			this.recorder.appendEvent("mark", incident.label, null);
			this.#marked++;
		}
		if (this.recorder.frames % FLUSH_FRAMES === 0) unwrap(this.recorder.flush());
		for (let i = 0; i < counts.length; i++) this.#ohm[i] = counts[i]! * this.#scale;
		if (this.model === null || this.#series < 0) return null;
		const { kernel } = this.model;
		kernel.applyToRegions(this.#ohm);
		this.recorder.appendTrend(this.#series, ordinal, kernel.regionMeans);
		return kernel.regionMeans;
	}

	close(endSeconds = 1): number {
		for (let i = 0; i < endSeconds * FRAMES_PER_SECOND; i++) this.next(0);
		this.recorder.appendContacts(0, Float64Array.from(this.#sitting.worn.ohm));
		this.recorder.setCounters({ lost: this.#lost, bad: this.#lost > 0 ? { checksum: this.#lost } : {} });
		unwrap(this.recorder.close());
		return this.recorder.sessionId;
	}

	/** Takes rest, and makes the model where there is none yet. */
	#rest(): void {
		const { readingCount } = this.#sitting.worn.configuration;
		const collector = createBaselineCollector(readingCount, BASELINE_SECONDS * FRAMES_PER_SECOND);
		let rest: RestBaseline | null = null;
		// Contacts settle at first: it begins again until the readings are steady.
		while (rest === null && this.seconds < LONGEST_SECONDS) {
			collector.clear();
			for (let i = 0; i < BASELINE_SECONDS * FRAMES_PER_SECOND; i++) {
				this.next(0);
				collector.add(this.#ohm);
			}
			const taken = collector.finish();
			if (taken.ok) rest = taken.value;
		}
		if (rest === null) throw new RangeError("demo: the band never came to rest");
		this.model ??= this.#makeModel(rest);
		this.model.kernel.setBaseline(rest.median);
		this.recorder.appendBaseline({
			bandIndex: 0,
			fromOrdinal: 0,
			takenAt: toRfc3339(this.#sitting.startMs + 1000 * this.seconds),
			seconds: BASELINE_SECONDS,
			frameCount: rest.frames,
			automatic: true,
			configuration: 1,
			median: rest.median.map((ohm) => ohm / this.#scale),
			noise: rest.noise.map((ohm) => ohm / this.#scale),
		});
		const { geometry, regions } = this.model.built;
		const { prior, rule, lambda, noiseFigure, unit } = geometry;
		const algorithmVersion = ALGORITHM_VERSION;
		this.#series = this.recorder.addSeries({
			bandIndex: 0,
			algorithmVersion,
			prior,
			rule,
			lambda,
			noiseFigure,
			unit,
			regions,
		});
	}

	#makeModel(rest: RestBaseline): DemoModel {
		const { limb, band, terminals, configuration } = this.#sitting.worn;
		const built = unwrap(
			makeModel(
				{
					bandIndex: 0,
					body: { kind: "limb", limb, band },
					electrodeCount: band.electrodeCount,
					terminals,
					noise: rest.noise,
					rest: rest.median,
					frequencyHertz: configuration.frequencyHertz,
					settings,
				},
				() => undefined,
			),
		);
		return { built, kernel: createPictureKernel(built.model) };
	}
}

/** Share of the readings that did not clip. */
function usableShare(counts: Float64Array): number {
	let clipped = 0;
	for (let i = 0; i < counts.length; i++) if (Math.abs(counts[i]!) >= 2 ** 23 - 1) clipped++;
	return 1 - clipped / counts.length;
}

const protocol: Omit<ReferenceProtocol, "target"> = {
	effort: "comfortable",
	contractions: 3,
	restSeconds: 6,
	contractionSeconds: 5,
	pauseSeconds: 12,
};

/** What an invented person does for a reference contraction. */
const referenceExercises: Readonly<Record<ReferenceTarget, ExerciseName>> = {
	quadriceps: "quad set",
	hamstrings: "heel dig",
};

export interface TakenInDemo {
	readonly references: FittingReferences;
	readonly model: DemoModel;
}

/** Both reference contractions, in one session of their own. */
export function takeReferences(sitting: Sitting, model: DemoModel | null): TakenInDemo {
	const recording = new DemoRecording(sitting, "Reference contraction", model);
	const references = {
		quadriceps: takeReference(sitting, recording, "quadriceps"),
		hamstrings: takeReference(sitting, recording, "hamstrings"),
	};
	recording.close();
	return { references, model: recording.model! };
}

function takeReference(sitting: Sitting, recording: DemoRecording, target: ReferenceTarget): ReferenceRecord {
	const { regions, geometry } = recording.model!.built;
	const recorder = createReferenceRecorder(regions.length, { ...protocol, target });
	recording.work(referenceExercises[target]);
	recorder.begin(recording.time);
	let effort = 0;
	for (let view = recorder.view(); view.step !== "done"; view = recorder.view()) {
		if (view.step !== "contract") effort = 0;
		else if (effort === 0) effort = sitting.day.reference * recording.unlike();
		const means = recording.next(effort);
		if (means !== null) recorder.add(recording.time, means);
	}
	const measured = recorder.result();
	if (!measured.ok) throw new RangeError(`demo: the reference failed: ${measured.error.kind}`);
	const { store, personId, startMs } = sitting;
	const referenceId = unwrap(
		store.addReference({
			personId,
			takenAt: toRfc3339(startMs + 1000 * recording.seconds),
			protocol: { ...protocol, target },
			unit: geometry.unit,
			regions: regions.map(({ id, name }, i) => ({ id, name, reference: measured.value[i]! })),
			conditions: recording.conditions,
		}),
	);
	return unwrap(store.reference(referenceId));
}

/** Which pattern of muscles an exercise of the library comes nearest to. */
const patterns: Readonly<Record<string, ExerciseName>> = {
	"quad-set": "quad set",
	"straight-leg-raise": "straight leg raise",
	"terminal-knee-extension": "terminal knee extension",
};

export interface Task {
	readonly item: PlanItem;
	/** Null without a plan. */
	readonly plan: { readonly stored: StoredPlan; readonly version: number; readonly itemIndex: number } | null;
}

/** Does the tasks one after the other. @returns the session's id */
export function exercise(
	sitting: Sitting,
	model: DemoModel,
	taken: FittingReferences,
	tasks: readonly Task[],
): number {
	const { store, day } = sitting;
	const recording = new DemoRecording(sitting, "Exercises", model);
	const { regions } = model.built;
	const regionIds = regions.map(({ id }) => id);
	const references = referencesInForce(regionIds, taken);
	for (const { item, plan } of tasks) {
		recording.work(patterns[item.exercise.id] ?? "quad set");
		const run = new ExerciseRun({
			item,
			regionIds,
			references,
			learned: null,
			painBefore: day.painBefore,
			hadToStop: false,
		});
		run.begin(recording.time);
		const obey = createObedience(item, day, () => recording.unlike());
		while (run.view().phase !== "done" && recording.seconds < LONGEST_SECONDS) {
			const view = run.view();
			if (view.phase === "ask") {
				run.answer(recording.time, { pain: day.painAfter, effort: day.toldEffort, symptoms: [] });
				continue;
			}
			const means = recording.next(
				obey(view.phase === "work" ? view.cue : "rest", view.count, recording.time),
			);
			if (means === null) run.tick(recording.time);
			else run.add(recording.time, means);
		}
		for (const result of run.results()) {
			unwrap(
				store.addSet({
					sessionId: recording.recorder.sessionId,
					plan:
						plan === null
							? null
							: { planId: plan.stored.id, version: plan.version, itemIndex: plan.itemIndex },
					item,
					result,
					painBefore: day.painBefore,
					conditions: conditionsWith(recording.conditions, taken),
				}),
			);
		}
	}
	return recording.close();
}

const PUSH_SECONDS = 1.5;
const LET_GO_SECONDS = 2;
/** Somebody who does not manage a set gives up after this long. */
const SET_SECONDS = 120;

/** Effort of a person who does what the coach says, as well as this day allows. */
function createObedience(
	item: PlanItem,
	day: Day,
	unlike: () => number,
): (cue: string, count: number, time: number) => number {
	let strength = unlike();
	let rounds = 0;
	let pushSince = Number.NaN;
	let workSince = Number.NaN;
	return (cue, count, time) => {
		if (cue !== "work" && cue !== "hold") {
			pushSince = Number.NaN;
			if (cue !== "let-go") workSince = Number.NaN;
			return 0;
		}
		if (Number.isNaN(workSince)) workSince = time;
		if (Number.isNaN(pushSince)) {
			pushSince = time;
			strength = unlike();
		}
		const tired = strength - (day.tiring * count) / Math.max(1, item.dose.repetitions - 1);
		const since = time - pushSince;
		if (time - workSince > SET_SECONDS) return 0;
		if (item.exercise.kind === "repetition") {
			const round = PUSH_SECONDS + LET_GO_SECONDS;
			if (Math.floor(since / round) !== rounds) strength = unlike();
			rounds = Math.floor(since / round);
			const within = since % round;
			return within >= 0.5 && within < 0.5 + PUSH_SECONDS ? day.effort * tired : 0;
		}
		const held = Math.min(1, day.held * strength) * item.dose.holdSeconds;
		if (since < held) return day.effort * tired;
		// Let go too early: a breath, then again.
		if (since > held + LET_GO_SECONDS) pushSince = time;
		return 0;
	};
}
