/** A backend with a band on an invented person's thigh, a plan, and a person who does what the screen says. Device time
 *  is the frames' own; the app's clock stands still unless the test turns it. */
import type { AppState, Fault, Person, RequestArgument, RequestName } from "../../app/contract.ts";
import type { BackendOptions } from "../../app/session/backend.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";
import { type PlanItem, planItemOf } from "../../core/exercise/plan.ts";
import { cautions } from "../../core/safety/cautions.ts";
import { createFakeClock, type FakeClock } from "./fake-clock.ts";
import { type OpenBackend, openBackend, untilState } from "./open-backend.ts";
import type { ThighReadings } from "./thigh-readings.ts";

export interface Efforts {
	readonly rectus: number;
	readonly hamstrings: number;
}

export interface CoachedScene extends OpenBackend {
	readonly clock: FakeClock;
	readonly person: Person;
	/** Frames 1/30 s apart, in step with the pictures, until the state is as wanted.
	 *  @param effort 0 to 1, of the rectus femoris alone or of it and the hamstrings, asked before each fifth of a second
	 *  @throws after `seconds` */
	work(
		effort: (state: AppState) => number | Efforts,
		isDone: (state: AppState) => boolean,
		seconds?: number,
	): Promise<void>;
	/** Numbers, from 1, of electrodes through which only a part of the current goes from now on. */
	lift(electrodes: readonly number[]): void;
	faultOf<K extends RequestName>(name: K, argument: RequestArgument<K>): Promise<Fault>;
}

/** Two sets of three leg raises, and two holds of 3 s. */
export const planItems: readonly PlanItem[] = (() => {
	const raise = planItemOf(libraryExerciseOf("straight-leg-raise")!, "right");
	const quad = libraryExerciseOf("quad-set")!;
	const hold = planItemOf({ ...quad, targetRegions: ["rectus-femoris"] }, "right");
	return [
		{ ...raise, dose: { ...raise.dose, sets: 2, repetitions: 3, restSeconds: 6 } },
		{ ...hold, dose: { ...hold.dose, sets: 1, repetitions: 2, holdSeconds: 3, pauseSeconds: 3 } },
	];
})();

export const everyDay = { weekdays: [1, 2, 3, 4, 5, 6, 7], timesPerDay: 1 };

const FRAMES_PER_STEP = 6;

export async function openCoachedScene(
	thigh: ThighReadings,
	options: Partial<BackendOptions> = {},
): Promise<CoachedScene> {
	const clock = createFakeClock();
	const scene = openBackend({ clock, ...options });
	const tense = thigh.tensed("rectus-femoris");
	const tenseBack = thigh.tensed("hamstrings");
	let frame = 0;
	let effort = 0;
	let effortBack = 0;
	let lifted: readonly number[] = [];
	const { terminals } = createPattern(16, "adjacent");

	function play(asked: number | Efforts, frames: number): void {
		const { rectus, hamstrings } = typeof asked === "number" ? { rectus: asked, hamstrings: 0 } : asked;
		for (let i = 0; i < frames; i++) {
			frame++;
			// muscle tenses and lets go within a fifth of a second or so
			effort += (rectus - effort) / 4;
			effortBack += (hamstrings - effortBack) / 4;
			scene.source.frame(
				thigh.rest.map((value, r) => {
					const noise = 1 + 2e-4 * Math.sin(1e4 * Math.sin(frame * 208 + r));
					const change = effort * (tense[r]! - value) + effortBack * (tenseBack[r]! - value);
					const weak = [terminals[4 * r]! + 1, terminals[4 * r + 1]! + 1].find((e) => lifted.includes(e));
					return (value + change) * noise * (weak === undefined ? 1 : 0.1 + 0.05 * weak);
				}),
			);
		}
	}

	async function step(asked: number | Efforts): Promise<void> {
		const wanted = scene.pictures.length + FRAMES_PER_STEP;
		const arePictured = scene.untilPicture(() => scene.pictures.length >= wanted);
		play(asked, FRAMES_PER_STEP);
		await arePictured;
	}

	async function putOn(): Promise<void> {
		scene.source.announce();
		play(0, 60);
		await untilState(scene, ({ baseline, picture }) => baseline !== null && picture.state === "ready");
	}

	async function enterPerson(): Promise<Person> {
		const people = await scene.ask("listPeople", { includeArchived: true });
		if (people[0] !== undefined) return people[0];
		const person = await scene.ask("savePerson", {
			id: null,
			code: "P-1",
			displayName: "Invented",
			affectedSide: "right",
		});
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: person.id, limb: { ...limb, side: "right" }, band });
		await scene.ask("acknowledgeForPerson", { personId: person.id, version: cautions.version });
		const draft = { from: "2026-02-23", items: planItems, schedule: everyDay, reason: "" };
		await scene.ask("savePlan", { personId: person.id, draft });
		return person;
	}

	const person = await enterPerson();
	await untilState(scene, ({ link }) => link.state === "waiting-for-board");
	await putOn();
	return {
		...scene,
		clock,
		person,
		async work(effortOf, isDone, seconds = 120) {
			const most = (seconds * 30) / FRAMES_PER_STEP;
			for (let i = 0; !isDone(scene.backend.state()); i++) {
				if (i > most)
					throw new Error(`not there after ${seconds} s: ${JSON.stringify(scene.backend.state())}`);
				await step(effortOf(scene.backend.state()));
			}
		},
		lift(electrodes) {
			lifted = electrodes;
		},
		async faultOf(name, argument) {
			const reply = await scene.backend.request(name, argument);
			if (reply.ok) throw new Error(`${name} was not refused`);
			return reply.error;
		},
	};
}

export const isReferenceOver = ({ reference }: AppState): boolean =>
	reference?.view.step === "done" || reference?.view.step === "stopped";

/** Pushes while the screen says so. */
export const followReference = ({ reference }: AppState): number =>
	reference?.view.step === "contract" ? 1 : 0;

/** Holds as long as the screen says. */
export const followHold = ({ exercise }: AppState): number =>
	exercise?.view.phase === "work" && (exercise.view.cue === "work" || exercise.view.cue === "hold") ? 0.8 : 0;

/** Repetitions of the given efforts, each pushed for 1.2 s and let go for 1.6 s, from when the work begins. */
export function createRepetitions(efforts: readonly number[]): (state: AppState) => number {
	let steps = 0;
	return ({ exercise }) => {
		if (exercise?.view.phase !== "work") {
			steps = 0;
			return 0;
		}
		const at = steps++ % 14;
		const index = Math.floor((steps - 1) / 14);
		return at < 6 ? (efforts[index] ?? 0) : 0;
	};
}
