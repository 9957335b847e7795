import type { ParseArgsConfig } from "node:util";

/** How a verb ended; the message is one clear sentence that says what to do next. */
export type Outcome = { readonly exitCode: 0 } | { readonly exitCode: 1 | 2; readonly message: string };

export interface Verb {
	/** One line, such as `tautline predict CASE.json`. */
	readonly usage: string;
	readonly options: NonNullable<ParseArgsConfig["options"]>;
	run(values: Record<string, string | undefined>, positionals: readonly string[]): Promise<Outcome>;
}
