/** Plays host to a board and tells which duties of the line protocol it keeps: for firmware authors. */
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { type CheckResult, checkBoard } from "../link/board-check/check-board.ts";
import { systemClock } from "../link/link-clock.ts";
import { createSerialTransport } from "../link/serial-transport.ts";
import { faultSentence } from "./fault-sentence.ts";
import type { Outcome, Verb } from "./verb.ts";

const usualBaud = "460800";
const marks = { pass: "pass", fail: "FAIL", skipped: "skip" } as const;

function print({ name, section, outcome, detail }: CheckResult): void {
	process.stderr.write(`${marks[outcome]}  ${name.padEnd(56)}  §${section.padEnd(13)}  ${detail}\n`);
}

async function run(
	values: Record<string, string | undefined>,
	positionals: readonly string[],
): Promise<Outcome> {
	if (positionals.length > 0) return { exitCode: 2, message: `'${positionals[0]}' is not expected here.` };
	const { port, baud = usualBaud } = values;
	if (port === undefined || port === "") return { exitCode: 2, message: "--port PATH is missing." };
	const baudRate = /^\d+$/.test(baud) ? Number(baud) : Number.NaN;
	if (!(baudRate >= 9600 && baudRate <= 4_000_000)) {
		return { exitCode: 2, message: `--baud takes a whole number from 9600 to 4000000, got '${baud}'.` };
	}
	const transport = createSerialTransport(port, baudRate);
	const opened = await transport.open();
	if (!opened.ok) return { exitCode: 1, message: faultSentence(opened.error) };
	const { stream, close } = opened.value;
	const mayDrive = values["no-drive"] === undefined;
	if (mayDrive) {
		process.stderr.write(
			"Current will flow: put resistors on the electrodes, nobody wears the band meanwhile.\n",
		);
	}
	const workingLimitAmpere = defaultWorkingLimitAmpere;
	const results = await checkBoard({
		stream,
		clock: systemClock,
		workingLimitAmpere,
		mayDrive,
		onResult: print,
	});
	await close();
	const count = (outcome: CheckResult["outcome"]) =>
		results.filter((result) => result.outcome === outcome).length;
	const [passed, failed, skipped] = [count("pass"), count("fail"), count("skipped")];
	process.stdout.write(`${JSON.stringify({ port, passed, failed, skipped, checks: results }, null, "\t")}\n`);
	if (failed === 0) return { exitCode: 0 };
	const first = results.find(({ outcome }) => outcome === "fail")!;
	return {
		exitCode: 1,
		message: `${failed} of ${results.length} checks failed. Begin with '${first.name}': see section ${first.section} of core/wire/PROTOCOL.md.`,
	};
}

export const checkBoardVerb: Verb = {
	usage: "tautline check-board --port PATH [--baud N] [--no-drive]",
	options: { port: { type: "string" }, baud: { type: "string" }, "no-drive": { type: "boolean" } },
	run,
};
