/**
 * The app on its own records, or on the demo clinic in their place: one backend at a time, each with its own store, link
 * and home mode. Own records are closed while the demo is open, and every start begins on them.
 */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { failure, type Result, success } from "../../core/result.ts";
import type { AppState, DemoState, Fault, Reply, RequestName } from "../contract.ts";
import { type Backend, type BackendOptions, createBackend, type PictureListener } from "./backend.ts";
import { systemClock } from "./clock.ts";
import { type DemoFileOptions, removeDatabase, replaceDatabase } from "./demo/demo-file.ts";
import { makeDemoApart } from "./demo/demo-maker.ts";
import { type RecordsSwitch, whyInUse } from "./records-switch.ts";

export interface SwitchingOptions extends Omit<BackendOptions, "recordsSwitch"> {
	/** Less than the whole clinic, for a test. */
	readonly demoSize?: Pick<DemoFileOptions, "people" | "days">;
}

/** Of the data folder; `npm run demo` uses the same one. */
export const DEMO_FOLDER = "demo";

/** What reads or writes a file piece by piece, or must be written to its end. */
const filing: ReadonlySet<RequestName> = new Set<RequestName>([
	"importPerson",
	"exportPerson",
	"deletePerson",
	"importRecording",
	"readExport",
	"stopRecording",
	"leaveExercise",
]);

const switching: ReadonlySet<RequestName> = new Set<RequestName>(["openDemo", "closeDemo"]);

export function createSwitchingBackend(options: SwitchingOptions): Backend {
	const { demoSize, ...own } = options;
	const clock = options.clock ?? systemClock;
	const demoFolder = join(options.dataFolder, DEMO_FOLDER);
	const demoPath = join(demoFolder, "tautline.sqlite");
	const freshPath = join(demoFolder, "fresh.sqlite");
	const stateListeners = new Set<(state: AppState) => void>();
	const pictureListeners = new Set<PictureListener>();
	/** Pages that show volume pictures, of whichever records are open. */
	const watches = new Set<{ end: () => void }>();
	const changeListeners = new Set<() => void>();
	const underWay = new Map<AbortController, RequestName>();
	let number = 1;
	let isDemoOpen = false;
	let isMade = existsSync(demoPath);
	let making: (NonNullable<DemoState["making"]> & { readonly abort: AbortController }) | null = null;
	/** Settles with the thread that makes one. */
	let made: Promise<void> = Promise.resolve();
	let fault: Fault | null = null;
	/** Settles once other records are open. */
	let turn: Promise<void> | null = null;
	let disposal: Promise<void> | null = null;
	let open = openRecords();

	/** The present number's records. A backend that is being closed keeps the number that it was opened with. */
	function openRecords(): { readonly backend: Backend; stop(): void } {
		const ownNumber = number;
		const hasOwnBehind = isDemoOpen;
		const recordsSwitch: RecordsSwitch = {
			state: () => ({
				records: { number: ownNumber, hasOwnBehind },
				demo: {
					isMade,
					making: making === null ? null : { share: making.share, who: making.who },
					fault,
				},
			}),
			onChange(listener) {
				changeListeners.add(listener);
				return () => changeListeners.delete(listener);
			},
			openDemo,
			cancelDemo,
			closeDemo,
		};
		const { databasePath: _, ...elsewhere } = own;
		const backend = createBackend(
			isDemoOpen ? { ...elsewhere, dataFolder: demoFolder, recordsSwitch } : { ...own, recordsSwitch },
		);
		const stops = [
			backend.onState((state) => {
				for (const listener of stateListeners) listener(state);
			}),
			backend.onPicture((packet, isVolume) => {
				for (const listener of pictureListeners) listener(packet, isVolume);
			}),
		];
		for (const watch of watches) watch.end = backend.watchVolume();
		return {
			backend,
			stop() {
				for (const stop of stops) stop();
			},
		};
	}

	function changed(): void {
		for (const listener of changeListeners) listener();
	}

	function inUse(): Fault | null {
		if ([...underWay.values()].some((name) => filing.has(name)))
			return { kind: "records-in-use", by: "file" };
		return whyInUse(open.backend.state());
	}

	/** Puts a demo that has just been made in the place of the one before; nobody has that one open. */
	function placeFresh(): void {
		try {
			replaceDatabase(freshPath, demoPath);
		} catch (error) {
			fault = { kind: "store-failed", path: demoPath, detail: reasonOf(error) };
		}
		isMade = existsSync(demoPath);
	}

	/** @param prepare runs while no records are open */
	async function change(toDemo: boolean, prepare: () => void): Promise<void> {
		number++;
		open.stop();
		for (const [controller, name] of underWay) if (!switching.has(name)) controller.abort();
		try {
			await open.backend.dispose();
		} catch (error) {
			fault = { kind: "internal", detail: reasonOf(error) };
		}
		prepare();
		isDemoOpen = toDemo;
		open = openRecords();
		const state = open.backend.state();
		for (const listener of stateListeners) listener(state);
	}

	/** @returns the fault that kept the present records open. */
	function changeTo(toDemo: boolean, prepare: () => void = () => undefined): Promise<Result<null, Fault>> {
		const reason = inUse();
		if (reason !== null) return Promise.resolve(failure(reason));
		turn = change(toDemo, prepare).finally(() => {
			turn = null;
		});
		return turn.then(() => success(null));
	}

	async function openDemo(anew: boolean): Promise<Result<null, Fault>> {
		if (making !== null || disposal !== null) return success(null);
		const reason = inUse();
		if (reason !== null) return failure(reason);
		fault = null;
		isMade = existsSync(demoPath);
		if (isMade && !anew) return isDemoOpen ? success(null) : changeTo(true);
		making = { share: 0, who: "", abort: new AbortController() };
		made = make(making.abort.signal);
		changed();
		return success(null);
	}

	async function make(signal: AbortSignal): Promise<void> {
		const { workerFolder, migrationsFolder } = options;
		const outcome = await makeDemoApart(
			workerFolder === undefined
				? new URL("./demo/demo-worker.ts", import.meta.url)
				: new URL("demo-worker.js", workerFolder),
			{
				path: freshPath,
				today: clock.now(),
				...demoSize,
				...(migrationsFolder === undefined ? {} : { migrationsFolder }),
			},
			(share, who) => {
				if (making !== null) making = { ...making, share, who };
				changed();
			},
			signal,
		);
		making = null;
		if (outcome.ok) await showFresh();
		else if (outcome.error.kind !== "cancelled") fault = outcome.error;
		changed();
	}

	async function showFresh(): Promise<void> {
		if (disposal === null) {
			// The one that is open is replaced while it is closed.
			if (!isDemoOpen) placeFresh();
			const opened = isMade ? await changeTo(true, isDemoOpen ? placeFresh : undefined) : success(null);
			if (!opened.ok) fault = opened.error;
		}
		removeDatabase(freshPath);
	}

	function cancelDemo(): Result<null, Fault> {
		making?.abort.abort();
		fault = null;
		changed();
		return success(null);
	}

	async function closeDemo(): Promise<Result<null, Fault>> {
		if (!isDemoOpen) return success(null);
		cancelDemo();
		return changeTo(false);
	}

	async function disposeAll(): Promise<void> {
		making?.abort.abort();
		await made;
		await turn;
		stateListeners.clear();
		pictureListeners.clear();
		await open.backend.dispose();
	}

	return {
		async request<K extends RequestName>(
			name: K,
			argument: unknown,
			signal?: AbortSignal,
			records?: number,
		): Promise<Reply<K>> {
			while (turn !== null) await turn;
			if (records !== undefined && records !== number) return failure({ kind: "records-changed" });
			const controller = new AbortController();
			underWay.set(controller, name);
			try {
				const both = signal === undefined ? controller.signal : AbortSignal.any([signal, controller.signal]);
				return await open.backend.request(name, argument, both);
			} finally {
				underWay.delete(controller);
			}
		},
		state: () => open.backend.state(),
		onState(listener) {
			stateListeners.add(listener);
			return () => stateListeners.delete(listener);
		},
		onPicture(listener) {
			pictureListeners.add(listener);
			return () => pictureListeners.delete(listener);
		},
		watchVolume() {
			const watch = { end: open.backend.watchVolume() };
			watches.add(watch);
			return () => {
				watches.delete(watch);
				watch.end();
			};
		},
		dispose() {
			disposal ??= disposeAll();
			return disposal;
		},
	};
}

function reasonOf(error: unknown): string {
	return error instanceof Error ? error.message : String(error);
}
