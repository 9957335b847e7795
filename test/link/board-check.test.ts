/** The conformance checker against a board that keeps the protocol and boards that each break one duty of it. */
import { duplexPair } from "node:stream";
import { describe, expect, test } from "vitest";
import { type CheckResult, checkBoard } from "../../app/link/board-check/check-board.ts";
import { SimulatedBoard } from "../../app/link/simulated/board.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { LimbUnderBands } from "../../app/link/simulated/limb-under-bands.ts";
import { runBoard } from "../../app/link/simulated/run-board.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { crc16OfText, crcDigits } from "../../core/wire/crc.ts";
import { FakeClock } from "./fake-clock.ts";

const usual: SimulatedBoardOptions = {
	seed: 5,
	framesPerSecond: 20,
	bandCount: 1,
	electrodeCount: 8,
	scenario: "rest",
	corruptShare: 0,
	dropShare: 0,
};
const limbs = createLimbs(usual);
const twoLimbs = createLimbs({ ...usual, bandCount: 2 });
const limbsAcross = new LimbUnderBands({ seed: 5, bandCount: 2, electrodeCount: 8, cells: 3000 }).bands;

interface Fault {
	readonly options?: Partial<SimulatedBoardOptions>;
	/** What becomes of a line of the board, without LF; null when it is not said. */
	readonly says?: (line: string) => string | null;
	/** What becomes of the host's bytes on their way in. */
	readonly hears?: (text: string) => string;
}

async function check(
	{ options = {}, says = (line) => line, hears = (text) => text }: Fault,
	mayDrive = true,
) {
	const clock = new FakeClock();
	const [host, wire] = duplexPair();
	const all = { ...usual, ...options };
	const two = all.across === true ? limbsAcross : twoLimbs;
	const board = new SimulatedBoard(all, all.bandCount === 2 ? two : limbs, {
		line(bytes) {
			for (const whole of Buffer.from(bytes).toString("latin1").trimEnd().split("\n")) {
				const line = says(whole);
				if (line !== null) wire.write(Buffer.from(`${line}\n`, "latin1"));
			}
			return true;
		},
	});
	const running = runBoard(board, clock);
	wire.on("data", (chunk: Buffer) => running.receive(Buffer.from(hears(chunk.toString("latin1")), "latin1")));
	let results: CheckResult[] | null = null;
	const checking = checkBoard({
		stream: host,
		clock,
		workingLimitAmpere: defaultWorkingLimitAmpere,
		mayDrive,
	});
	void checking.then((done) => {
		results = done;
	});
	while (results === null) await clock.pass(100);
	running.stop();
	host.destroy();
	return { results: await checking, activity: board.seconds };
}

const sealed = (body: string) => `${body}~${crcDigits(crc16OfText(body))}`;
const bodyOf = (line: string) => line.replace(/~.*$/, "");
const named = (results: readonly CheckResult[], outcome: CheckResult["outcome"]) =>
	results.filter((result) => result.outcome === outcome).map(({ name }) => name);

describe("the board checker", () => {
	test.each([1, 2])("passes a board of %i bands that keeps the protocol", async (bandCount) => {
		const { results } = await check({ options: { bandCount } });
		expect(results.filter(({ outcome }) => outcome !== "pass")).toEqual([]);
	});

	test("passes a board whose bands read across, and finds the one that lists electrodes of a band it does not have", async () => {
		const options = { bandCount: 2, across: true };
		const { results } = await check({ options });
		expect(results.filter(({ outcome }) => outcome !== "pass")).toEqual([]);
		const listed = results.find(({ name }) => name === "lists electrodes that it has");
		expect(listed?.detail).toBe("232 readings listed, 152 across bands");
		const says = (line: string) =>
			/^R \d+ 0 /.test(line) ? sealed(bodyOf(line).replaceAll("1:", "3:")) : line;
		const { results: wrong } = await check({ options, says }, false);
		expect(named(wrong, "fail")).toEqual(["lists electrodes that it has"]);
		expect(wrong.find(({ outcome }) => outcome === "fail")?.detail).toContain("but the board has 2 bands");
	});

	test("lets no current flow where it was told so", async () => {
		const commands: string[] = [];
		const hears = (text: string) => {
			commands.push(...text.split("\n").filter((line) => / start /.test(line)));
			return text;
		};
		const { results } = await check({ hears }, false);
		expect(commands).toEqual([]);
		expect(named(results, "fail")).toEqual([]);
		expect(named(results, "skipped").length).toBe(5);
	});

	test("never starts a board that drives above the limit", async () => {
		const commands: string[] = [];
		const hears = (text: string) => {
			commands.push(...text.split("\n").filter((line) => / start /.test(line)));
			return text;
		};
		const { results } = await check({ options: { currentMilliamp: 1.5 }, hears });
		expect(named(results, "fail")).toContain("drives no more than the limit");
		expect(commands).toEqual([]);
	});

	test("says that nothing answers, and tries nothing else", async () => {
		const { results } = await check({ says: () => null });
		expect(named(results, "fail")).toEqual(["answers hello with H, B, C and S, then A"]);
		expect(results[0]!.detail).toContain("check port and baud rate");
		expect(named(results, "skipped").length).toBe(results.length - 1);
	});

	const wrongBoards: [string, Fault, string][] = [
		[
			"forgets to tell abilities",
			{ says: (line) => (line.startsWith("B") ? null : line) },
			"answers hello with H, B, C and S, then A",
		],
		[
			"tells the status every two seconds",
			{ says: everySecond(/^S .* stopped/) },
			"tells its status every second",
		],
		["takes another boot number at each hello", { says: countedBoots() }, "tells the same boot number again"],
		[
			"says yes to everything",
			{ says: (line) => (line.startsWith("N") ? sealed(`A ${bodyOf(line).split(" ")[1]}`) : line) },
			"refuses an unknown command",
		],
		[
			"says yes to any current",
			{ says: (line) => (/^N .*range/.test(line) ? sealed(`A ${bodyOf(line).split(" ")[1]}`) : line) },
			"refuses more current than it announces",
		],
		[
			"does not look at checksums",
			{ hears: (text) => text.replace(/^(Q 4000000001 [^~]*)~.*$/m, (_, body: string) => sealed(body)) },
			"does not answer a wrong checksum",
		],
		["loses its place after noise", { hears: upsetByNoise() }, "answers after noise on the line"],
		[
			"answers before it tells the new setting",
			{ says: swapAnswers() },
			"sets its least current, and tells it in C before A",
		],
		[
			"goes on under the old number after a change",
			{ says: (line) => (/^C/.test(line) ? sealed(bodyOf(line).replace(/^C \d+/, "C 1")) : line) },
			"sets its least current, and tells it in C before A",
		],
		[
			"answers a contact check without values",
			{ says: (line) => (line.startsWith("Z") ? null : line) },
			"measures the contacts, and tells Z before A",
		],
		["leaves frames out", { says: everySecond(/^F/) }, "starts, and streams whole frames without a gap"],
		["damages a line in fifty", { options: { corruptShare: 0.02 } }, "sent no line that cannot be used"],
		["streams for ever", { options: { streamsAtOnce: true } }, "stops when it hears nothing for 10 s"],
		[
			"obeys stop on paper only",
			{
				hears: (text) =>
					text.replace(/^(Q \d+) stop ([^~]*)~.*$/gm, (_, id: string) => sealed(`${id} alive * -`)),
			},
			"stops at once",
		],
	];

	test.each(wrongBoards)("finds the board that %s", async (_, fault, expected) => {
		const { results } = await check(fault);
		expect(named(results, "fail")).toContain(expected);
	});
});

/** Passes only every second of the lines that match. */
function everySecond(matching: RegExp): (line: string) => string | null {
	let count = 0;
	return (line) => (matching.test(line) && count++ % 2 === 1 ? null : line);
}

/** Takes the first byte after a burst of noise for a part of it. */
function upsetByNoise(): (text: string) => string {
	let isUpset = false;
	return (text) => {
		const heard = isUpset ? text.slice(1) : text;
		isUpset = text.includes("\0");
		return heard;
	};
}

function countedBoots(): (line: string) => string {
	let boots = 0;
	return (line) => (line.startsWith("H") ? sealed(bodyOf(line).replace(/^H 1 \d+/, `H 1 ${++boots}`)) : line);
}

/** Tells each C only after the answer that follows it. */
function swapAnswers(): (line: string) => string | null {
	let held: string | null = null;
	return (line) => {
		if (line.startsWith("C") && !/^C 1 /.test(line)) {
			held = line;
			return null;
		}
		if (!line.startsWith("A") || held === null) return line;
		const both = `${line}\n${held}`;
		held = null;
		return both;
	};
}
