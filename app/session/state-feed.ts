import type { AppState } from "../contract.ts";
import type { Clock } from "./clock.ts";

/** Ten a second: what people can follow, whatever the frames do. */
const SHORTEST_INTERVAL_MS = 100;

export interface StateFeed {
	/** Something in the state may be different: listeners are told soon, once for all that changes until then. */
	changed(): void;
	state(): AppState;
	subscribe(listener: (state: AppState) => void): () => void;
	dispose(): void;
}

/** Folds any number of changes into at most ten pushes a second. `compose` makes the state from what is true now. */
export function createStateFeed(compose: () => AppState, clock: Clock): StateFeed {
	const listeners = new Set<(state: AppState) => void>();
	let current: AppState | null = null;
	let lastPush = Number.NEGATIVE_INFINITY;
	let stopTimer: (() => void) | null = null;
	let disposed = false;

	function push(): void {
		stopTimer = null;
		lastPush = clock.now();
		const state = fresh();
		for (const listener of listeners) listener(state);
	}

	function fresh(): AppState {
		current ??= compose();
		return current;
	}

	return {
		changed() {
			current = null;
			if (disposed || stopTimer !== null) return;
			const wait = Math.max(0, Math.min(SHORTEST_INTERVAL_MS, lastPush + SHORTEST_INTERVAL_MS - clock.now()));
			stopTimer = clock.after(wait, push);
		},
		state: fresh,
		subscribe(listener) {
			listeners.add(listener);
			return () => listeners.delete(listener);
		},
		dispose() {
			disposed = true;
			stopTimer?.();
			stopTimer = null;
			listeners.clear();
		},
	};
}
