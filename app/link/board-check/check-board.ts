import type { Duplex } from "node:stream";
import type { LinkClock } from "../link-clock.ts";
import { BoardEar } from "./board-ear.ts";
import { type BoardOnTrial, type Check, CheckFailed, checks } from "./checks.ts";

export interface CheckResult {
	readonly name: string;
	/** Of `PROTOCOL.md`. */
	readonly section: string;
	readonly outcome: "pass" | "fail" | "skipped";
	/** What was seen, or why it failed or was left out. */
	readonly detail: string;
}

export interface BoardCheckOptions {
	readonly stream: Duplex;
	readonly clock: LinkClock;
	readonly workingLimitAmpere: number;
	/** Whether current may flow: without it the checks that need it are left out. */
	readonly mayDrive: boolean;
	readonly onResult?: (result: CheckResult) => void;
}

/** Plays the host and tries every duty of the protocol in turn. Whatever happens, the board is told to stop. */
export async function checkBoard(options: BoardCheckOptions): Promise<CheckResult[]> {
	const ear = new BoardEar(options.stream, options.clock);
	const board: BoardOnTrial = {
		ear,
		identity: null,
		abilities: new Map(),
		workingLimitAmpere: options.workingLimitAmpere,
	};
	const results: CheckResult[] = [];
	let obstacle: string | null = null;
	try {
		for (const check of checks) {
			const result = await tried(check, board, obstacle ?? (check.drives && whyNoDrive(options, results)));
			// Without a hello nothing else can be tried.
			if (check === checks[0] && result.outcome === "fail") obstacle = "the board was not greeted";
			results.push(result);
			options.onResult?.(result);
		}
	} finally {
		await ear.ask("stop * -");
	}
	return results;
}

async function tried(
	check: Check,
	board: BoardOnTrial,
	obstacle: string | null | undefined,
): Promise<CheckResult> {
	const { name, section } = check;
	if (typeof obstacle === "string") return { name, section, outcome: "skipped", detail: obstacle };
	try {
		return { name, section, outcome: "pass", detail: await check.run(board) };
	} catch (error) {
		if (!(error instanceof CheckFailed)) throw error;
		const detail = board.ear.isLost ? `${error.message} (the port is gone)` : error.message;
		return { name, section, outcome: "fail", detail };
	}
}

/** Current flows only from a board that has shown that it keeps to the limit. */
function whyNoDrive({ mayDrive }: BoardCheckOptions, results: readonly CheckResult[]): string | null {
	if (!mayDrive) return "left out: no current was to flow";
	const unsafe = results.find(({ section, outcome }) => section === "5" && outcome === "fail");
	return unsafe === undefined ? null : `not tried after '${unsafe.name}' failed`;
}
