/** Brings people's whole records in and out of the store, and removes them for good; one after another, and in pieces
 *  that leave the thread to others in between. */
import { setImmediate } from "node:timers/promises";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, PersonRecordCounts, RequestArgument } from "../contract.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import type { Live } from "./live.ts";
import type { ReplayDesk } from "./replay-desk.ts";
import type { SetUp } from "./set-up.ts";

export interface PersonKeeper {
	/** Settles when everything is gone from the disk, too; while another program reads the file its log may keep some, which
	 *  goes when that is over. @returns what was removed. */
	remove(wish: RequestArgument<"deletePerson">): Promise<Result<PersonRecordCounts, Fault>>;
	importFile(
		file: RequestArgument<"importPerson">,
		signal: AbortSignal,
	): Promise<Result<{ readonly personId: number }, Fault>>;
	/** Goes on with what a start before was removing when it ended. */
	sweep(): Promise<Result<null, Fault>>;
	/** Nothing is begun any more; what is under way ends at the next piece. */
	dispose(): void;
}

export interface PersonKeeperParts {
	readonly store: Store;
	readonly clock: Clock;
	readonly live: Pick<Live, "prepareAgain">;
	readonly replays: Pick<ReplayDesk, "current" | "close">;
	readonly setUp: SetUp;
	readonly onChange: () => void;
}

/** Until the log is tried again that another program's reading keeps (our own choice). */
const RETRY_MS = 10_000;

export function createPersonKeeper({
	store,
	clock,
	live,
	replays,
	setUp,
	onChange,
}: PersonKeeperParts): PersonKeeper {
	let queue: Promise<unknown> = Promise.resolve();
	let disposed = false;
	let stopWaiting: (() => void) | null = null;

	function inTurn<T>(work: () => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> {
		const turn = queue.then(() => (disposed ? failure<Fault>({ kind: "cancelled" }) : work()));
		queue = turn.catch(() => undefined);
		return turn;
	}

	async function removeOn(): Promise<Result<null, Fault>> {
		while (!disposed) {
			const more = store.removeNext();
			if (!more.ok) return more;
			if (!more.value) break;
			await setImmediate();
		}
		if (!disposed && store.isRemovalWaiting()) {
			stopWaiting?.();
			stopWaiting = clock.after(RETRY_MS, () => void inTurn(removeOn));
		}
		return success(null);
	}

	async function remove({
		personId,
		code,
	}: RequestArgument<"deletePerson">): Promise<Result<PersonRecordCounts, Fault>> {
		const removed = store.deletePerson(personId, code);
		if (!removed.ok) return removed;
		if (replays.current?.state.session.personId === personId) replays.close();
		const forgotten = setUp.forgetPerson(personId);
		if (forgotten.ok && forgotten.value) live.prepareAgain();
		onChange();
		const rest = await removeOn();
		if (!rest.ok) return rest;
		return forgotten.ok ? removed : forgotten;
	}

	async function importFile(
		{ fileName, text }: RequestArgument<"importPerson">,
		signal: AbortSignal,
	): Promise<Result<{ readonly personId: number }, Fault>> {
		const read = await store.importPerson(fileName, text, signal);
		// What was written of a file that was then refused.
		const swept = await removeOn();
		if (!read.ok) return read;
		onChange();
		return swept.ok ? success({ personId: read.value }) : swept;
	}

	return {
		remove: (wish) => inTurn(() => remove(wish)),
		importFile: (file, signal) => inTurn(() => importFile(file, signal)),
		sweep: () => inTurn(removeOn),
		dispose() {
			disposed = true;
			stopWaiting?.();
		},
	};
}
