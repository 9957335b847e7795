/** A store in a folder of its own, with a clock and timers that the test turns. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach } from "vitest";
import type { Fault } from "../../app/contract.ts";
import { openStore, type SessionRecorder, type Store, type StoreOptions } from "../../app/store/store.ts";
import type { Result } from "../../core/result.ts";
import { createConfiguration, createFrame, newSession, unwrap } from "./create-records.ts";

export * from "./create-records.ts";

const clean: (() => void)[] = [];

afterEach(() => {
	for (const undo of clean.splice(0).reverse()) undo();
});

/** Undone after the test, last first. */
export function after(undo: () => void): void {
	clean.push(undo);
}

export function createFolder(): string {
	const folder = mkdtempSync(join(tmpdir(), "tautline-store-"));
	after(() => rmSync(folder, { recursive: true, force: true }));
	return folder;
}

export function faultOf(result: Result<unknown, Fault>): Fault {
	if (result.ok) throw new Error("a fault was expected");
	return result.error;
}

/** Time stands still until `pass`, which runs what is due on the way. */
export class TurnedClock {
	time = Date.UTC(2026, 2, 1, 9, 0, 0);
	readonly #timers = new Set<{ run: () => void; every: number; due: number }>();

	readonly now = (): number => this.time;

	readonly timers = {
		setInterval: (run: () => void, milliseconds: number): unknown => {
			const timer = { run, every: milliseconds, due: this.time + milliseconds };
			this.#timers.add(timer);
			return timer;
		},
		clearInterval: (handle: unknown): void => {
			this.#timers.delete(handle as never);
		},
	};

	/** The computer's clock is set: nothing falls due by it. */
	set(milliseconds: number): void {
		this.time += milliseconds;
		for (const timer of this.#timers) timer.due += milliseconds;
	}

	get running(): number {
		return this.#timers.size;
	}

	pass(milliseconds: number): void {
		const end = this.time + milliseconds;
		for (;;) {
			const next = [...this.#timers].sort((a, b) => a.due - b.due)[0];
			if (next === undefined || next.due > end) break;
			this.time = next.due;
			next.due += next.every;
			next.run();
		}
		this.time = end;
	}
}

export interface OpenedStore {
	readonly store: Store;
	readonly path: string;
	readonly clock: TurnedClock;
	/** Told through `onFault`. */
	readonly faults: Fault[];
}

export function optionsFor(path: string, clock: TurnedClock, faults: Fault[] = []): StoreOptions {
	return {
		path,
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: "0.0.0-test",
		now: clock.now,
		timers: clock.timers,
		onFault: (fault) => faults.push(fault),
	};
}

export function createOpenStore(path = join(createFolder(), "records.sqlite")): OpenedStore {
	const clock = new TurnedClock();
	const faults: Fault[] = [];
	const store = unwrap(openStore(optionsFor(path, clock, faults)));
	after(() => store.dispose());
	return { store, path, clock, faults };
}

export function startRecorder(store: Store): SessionRecorder {
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(createConfiguration());
	return recorder;
}

export function appendFrames(recorder: SessionRecorder, count: number): void {
	const from = recorder.frames;
	for (let i = from; i < from + count; i++) recorder.appendFrame(createFrame(i), 1e12 + i, 0, 1);
}
