/** Requests as they come from outside: checked by the contract's schemas, answered as `Result`s, never rejected. */
import { readAs } from "../../core/invalid-input.ts";
import { failure, type Result } from "../../core/result.ts";
import {
	type Fault,
	type Reply,
	type RequestArgument,
	type RequestName,
	requestSchemas,
} from "../contract.ts";

export type RequestHandlers = {
	readonly [K in RequestName]: (
		argument: RequestArgument<K>,
		signal: AbortSignal,
	) => Reply<K> | Promise<Reply<K>>;
};

/** Null when a request may pass. */
export type Gate = <K extends RequestName>(
	name: K,
	argument: RequestArgument<K>,
) => Result<never, Fault> | null;

/** Settles when the work does, or as `cancelled` at once on abort: handlers that take long watch the signal themselves. */
export async function dispatch<K extends RequestName>(
	handlers: RequestHandlers,
	gate: Gate,
	name: K,
	argument: unknown,
	signal: AbortSignal = new AbortController().signal,
): Promise<Reply<K>> {
	if (!Object.hasOwn(requestSchemas, name)) return failure(unknownRequest(name));
	const parsed = readAs<unknown>(requestSchemas[name], argument);
	if (!parsed.ok) return failure({ kind: "invalid-argument", ...parsed.error });
	const refused = gate(name, parsed.value as RequestArgument<K>);
	if (refused !== null) return refused;
	if (signal.aborted) return failure({ kind: "cancelled" });
	try {
		return await raceAbort(handlers[name](parsed.value as RequestArgument<K>, signal), signal);
	} catch (error) {
		// A defect of ours in one request: the others, and a recording that runs, go on.
		return failure({ kind: "internal", detail: error instanceof Error ? error.message : String(error) });
	}
}

function raceAbort<K extends RequestName>(
	work: Reply<K> | Promise<Reply<K>>,
	signal: AbortSignal,
): Reply<K> | Promise<Reply<K>> {
	if (!(work instanceof Promise)) return work;
	return new Promise((resolve, reject) => {
		const abort = (): void => resolve(failure({ kind: "cancelled" }));
		signal.addEventListener("abort", abort, { once: true });
		work.then(resolve, reject).finally(() => signal.removeEventListener("abort", abort));
	});
}

function unknownRequest(name: string): Fault {
	return { kind: "invalid-argument", path: "name", expected: "a request of the contract", got: name };
}
