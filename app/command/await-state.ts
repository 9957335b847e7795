import type { AppState } from "../contract.ts";
import type { Backend } from "../session/backend.ts";

/** Waits until `isThere` says so of the app's state. @returns false when `milliseconds` passed first, or when `signal`
 *  ended the wait. */
export function awaitState(
	backend: Backend,
	isThere: (state: AppState) => boolean,
	milliseconds: number,
	signal?: AbortSignal,
): Promise<boolean> {
	if (isThere(backend.state())) return Promise.resolve(true);
	if (signal?.aborted === true) return Promise.resolve(false);
	return new Promise((resolve) => {
		const end = (reached: boolean): void => {
			clearTimeout(timer);
			stopListening();
			signal?.removeEventListener("abort", abort);
			resolve(reached);
		};
		const abort = (): void => end(false);
		const timer = setTimeout(abort, milliseconds);
		const stopListening = backend.onState((state) => {
			if (isThere(state)) end(true);
		});
		signal?.addEventListener("abort", abort, { once: true });
	});
}
