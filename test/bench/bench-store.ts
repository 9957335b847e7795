import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openStore, type Store } from "../../app/store/store.ts";
import { unwrap } from "../store/create-records.ts";

/** Does `work` with an empty store in a folder of its own, which is gone after. Batches are written by hand. */
export function withBenchStore<T>(work: (store: Store) => T): T {
	const { store, remove } = createBenchStore();
	try {
		return work(store);
	} finally {
		remove();
	}
}

/** The same for work that takes turns with others. */
export async function withBenchStoreAsync<T>(work: (store: Store) => Promise<T>): Promise<T> {
	const { store, remove } = createBenchStore();
	try {
		return await work(store);
	} finally {
		remove();
	}
}

function createBenchStore(): { store: Store; remove: () => void } {
	const folder = mkdtempSync(join(tmpdir(), "tautline-bench-"));
	const store = unwrap(
		openStore({
			path: join(folder, "bench.sqlite"),
			mode: "create",
			whenCorrupt: "refuse",
			now: Date.now,
			appVersion: "bench",
			timers: { setInterval: () => 0, clearInterval: () => {} },
			onFault: (fault) => {
				throw new Error(JSON.stringify(fault));
			},
		}),
	);
	return {
		store,
		remove() {
			store.dispose();
			rmSync(folder, { recursive: true });
		},
	};
}
