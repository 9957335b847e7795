/** Keeps region means back while an electrode may be failing: wrong ones reach nobody who counts, the others a little later. */
import type { LiveResult } from "./live-pictures.ts";

export interface HeldMeans {
	/** @param result, means of one band, in the order of their frames */
	take(result: LiveResult, means: Float32Array): void;
	/** Forgets what waits. */
	clear(): void;
}

/** @param pass takes what can be believed, in the same order; its means are valid during the call */
export function createHeldMeans(pass: (result: LiveResult, means: Float32Array) => void): HeldMeans {
	/** What waits for whether a fault is found; hardly ever anything. */
	let held: { readonly result: LiveResult; readonly means: Float32Array }[] = [];

	return {
		take(result, means) {
			const { doubtfulSince, wrong } = result;
			const isDoubtful = ({ seconds }: LiveResult): boolean => seconds >= doubtfulSince;
			const isWrong = ({ seconds }: LiveResult): boolean =>
				wrong !== null && seconds >= wrong.from && seconds < wrong.to;
			for (let next = held[0]; next !== undefined && !isDoubtful(next.result); next = held[0]) {
				held.shift();
				if (!isWrong(next.result)) pass(next.result, next.means);
			}
			if (isWrong(result)) return;
			if (held.length > 0 || isDoubtful(result)) held.push({ result, means: means.slice() });
			else pass(result, means);
		},
		clear() {
			held = [];
		},
	};
}
