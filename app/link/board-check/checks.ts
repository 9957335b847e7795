import { ownReadings } from "../../../core/band/board-electrode.ts";
import { closedLine } from "../../../core/wire/crc.ts";
import type {
	BandAbility,
	BandActivity,
	BoardIdentity,
	DriveConfiguration,
} from "../../../core/wire/frame.ts";
import type { RefusalReason } from "../../../core/wire/host-command.ts";
import { hostSilenceSeconds, longestLine, mostBands, statusEverySeconds } from "../../../core/wire/limits.ts";
import { strayElectrode } from "../../../core/wire/stray-electrode.ts";
import { currentFault } from "../current-fault.ts";
import type { Answer, BoardEar, Heard } from "./board-ear.ts";

/** One duty of a board, and how it is tried. */
export interface Check {
	readonly name: string;
	/** Of `PROTOCOL.md`. */
	readonly section: string;
	/** Current flows during this check. */
	readonly drives?: true;
	/** Resolves with what was seen. @throws CheckFailed when the board does not do its duty */
	readonly run: (board: BoardOnTrial) => Promise<string>;
}

export class CheckFailed extends Error {}

/** What is known of the board so far. */
export interface BoardOnTrial {
	readonly ear: BoardEar;
	identity: BoardIdentity | null;
	/** By band. */
	readonly abilities: Map<number, BandAbility>;
	readonly workingLimitAmpere: number;
}

/** 500 ms by the protocol; a slow link's way there and back is forgiven. */
const answerWithinMs = 750;
/** A frame that was on its way when the board was stopped. */
const drainMs = 500;
const streamMs = 3000;
/** A status a second, and a quarter for a timer that drifts. */
const statusGapMs = 1250 * statusEverySeconds;

export const checks: readonly Check[] = [
	{ name: "answers hello with H, B, C and S, then A", section: "3, hello", run: greets },
	{ name: "tells abilities that fit its settings", section: "2, B", run: abilitiesFit },
	{ name: "lists electrodes that it has", section: "2, R", run: listsFit },
	{ name: "drives no more than the limit", section: "5", run: currentIsAllowed },
	{ name: "is stopped when no host has started it", section: "4", run: isStopped },
	{ name: "tells its status every second", section: "2, S", run: tellsStatus },
	{ name: "answers alive", section: "3, alive", run: (board) => obeys(board, "alive * -") },
	{ name: "tells the same boot number again", section: "2, H", run: keepsBootNumber },
	{
		name: "refuses an unknown command",
		section: "3",
		run: (board) => refuses(board, "juggle * -", ["unknown-command"]),
	},
	{
		name: "refuses a value that is missing",
		section: "3",
		run: (board) => refuses(board, "current * -", ["bad-argument"]),
	},
	{
		name: "refuses a value where none belongs",
		section: "3",
		run: (board) => refuses(board, "stop * 5", ["bad-argument"]),
	},
	{ name: "refuses a band that it does not have", section: "3", run: refusesOtherBand },
	{ name: "refuses more current than it announces", section: "5", run: refusesMoreCurrent },
	{ name: "refuses a frequency beyond what it announces", section: "2, B", run: refusesFrequency },
	{ name: "does not answer a wrong checksum", section: "3", run: ignoresDamage },
	{ name: "answers after noise on the line", section: "1", run: survivesNoise },
	{ name: "answers after a line that is too long", section: "1", run: survivesLongLine },
	{ name: "takes a command twice without harm", section: "3", run: takesTwice },
	{ name: "sets its least current, and tells it in C before A", section: "3, current", run: setsCurrent },
	{ name: "sets a frequency, and tells it in C before A", section: "3, frequency", run: setsFrequency },
	{ name: "sets a gain, and tells it in C before A", section: "3, gain", run: setsGain },
	{ name: "measures the contacts, and tells Z before A", section: "3, contact", run: tellsContacts },
	{ name: "starts, and streams whole frames without a gap", section: "2, F", drives: true, run: streams },
	{ name: "goes on streaming when greeted again", section: "4", drives: true, run: streamsOn },
	{
		name: "tells a changed setting before the first frame with it",
		section: "3",
		drives: true,
		run: changesWhileRunning,
	},
	{ name: "stops at once", section: "5", drives: true, run: stops },
	{ name: "stops when it hears nothing for 10 s", section: "5", drives: true, run: stopsUnwatched },
	{ name: "sent no line that cannot be used", section: "1", run: saidNothingBad },
];

// ---- Who is there -----------------------------------------------------------------------------------------------

async function greets(board: BoardOnTrial): Promise<string> {
	const { ear } = board;
	// A fresh port may carry the first bytes late.
	let answer: Answer | null = null;
	for (let attempt = 0; attempt < 5 && answer === null; attempt++) answer = await ear.ask("hello * -");
	const other = ear.heard.find((heard) => heard.kind === "other-version");
	if (other?.kind === "other-version") {
		throw new CheckFailed(`speaks version ${other.version} of the protocol, this program version 1`);
	}
	if (answer === null) {
		const { lines, bad } = ear.counters;
		const seen = lines + Object.values(bad).reduce((sum, count) => sum + count, 0);
		throw new CheckFailed(
			seen === 0 ? "no line came: check port and baud rate" : `no answer, ${seen} lines heard`,
		);
	}
	done(answer, "hello");
	const hello = lastOf(answer.before, "hello");
	if (hello === undefined) throw new CheckFailed("A came without H before it");
	board.identity = hello.board;
	for (const heard of ear.heard) {
		if (heard.kind === "ability") board.abilities.set(heard.ability.bandIndex, heard.ability);
	}
	for (let band = 0; band < hello.board.bandCount; band++) {
		if (!board.abilities.has(band)) throw new CheckFailed(`no B for band ${band}`);
		if (configurationOf(board, band) === null) throw new CheckFailed(`no whole C for band ${band}`);
		if (!answer.before.some((heard) => heard.kind === "status" && heard.status.bandIndex === band)) {
			throw new CheckFailed(`no S for band ${band} before A`);
		}
	}
	const { board: name, firmware, serial, bandCount } = hello.board;
	return `${name} ${firmware}, ${serial}, ${bandCount} ${bandCount === 1 ? "band" : "bands"}, after ${ms(answer.afterMs)}`;
}

async function abilitiesFit(board: BoardOnTrial): Promise<string> {
	const told: string[] = [];
	for (const band of bandsOf(board)) {
		const ability = abilityOf(board, band);
		const { electrodeCount, currentMilliamp, frequencyHertz, gain } = settingOf(board, band);
		if (ability.electrodeCount !== electrodeCount) {
			throw new CheckFailed(`band ${band}: B has ${ability.electrodeCount} electrodes, C ${electrodeCount}`);
		}
		const ranges = [
			["current", ability.minimumMilliamp, currentMilliamp, ability.maximumMilliamp, "mA"],
			["frequency", ability.minimumHertz, frequencyHertz, ability.maximumHertz, "Hz"],
			["gain", ability.minimumGain, gain, ability.maximumGain, ""],
		] as const;
		for (const [what, least, value, most, unit] of ranges) {
			if (!(least <= most))
				throw new CheckFailed(`band ${band}: least ${what} ${least} above most ${most} ${unit}`);
			if (value < least || value > most) {
				throw new CheckFailed(`band ${band}: ${what} ${value} ${unit} outside ${least} to ${most} ${unit}`);
			}
		}
		told.push(
			`band ${band}: ${electrodeCount} electrodes, ${currentMilliamp} mA, ${frequencyHertz} Hz, gain ${gain}`,
		);
	}
	return told.join("; ");
}

async function listsFit(board: BoardOnTrial): Promise<string> {
	const { bandCount } = identityOf(board);
	let listed = 0;
	let across = 0;
	for (const band of bandsOf(board)) {
		const setting = settingOf(board, band);
		const stray = strayElectrode(setting, bandCount, (other) => abilityOf(board, other).electrodeCount);
		if (stray !== null) throw new CheckFailed(stray);
		if (setting.listedTerminals === null) continue;
		const own = ownReadings({ terminals: setting.listedTerminals, electrodeCount: setting.electrodeCount });
		listed += setting.readingCount;
		across += setting.readingCount - own.length;
	}
	if (listed === 0) return "no list: named drives";
	return across === 0 ? `${listed} readings listed` : `${listed} readings listed, ${across} across bands`;
}

async function currentIsAllowed(board: BoardOnTrial): Promise<string> {
	for (const band of bandsOf(board)) assertAllowed(board, settingOf(board, band));
	return "within the working limit and the rule of the standard";
}

async function isStopped(board: BoardOnTrial): Promise<string> {
	for (const band of bandsOf(board)) {
		const activity = activityOf(board, band);
		if (activity !== "stopped") throw new CheckFailed(`band ${band} is ${activity ?? "silent"}`);
	}
	return "stopped";
}

async function tellsStatus({ ear, ...board }: BoardOnTrial): Promise<string> {
	const heard = await ear.listen(3 * statusGapMs);
	let longest = 0;
	for (const band of bandsOf({ ear, ...board })) {
		const times = heard.flatMap((one) =>
			one.kind === "status" && one.status.bandIndex === band ? [one.atMs] : [],
		);
		if (times.length < 2) throw new CheckFailed(`band ${band}: ${times.length} in ${ms(3 * statusGapMs)}`);
		for (let i = 1; i < times.length; i++) longest = Math.max(longest, times[i]! - times[i - 1]!);
	}
	if (longest > statusGapMs) throw new CheckFailed(`${ms(longest)} without one`);
	return `at most ${ms(longest)} apart`;
}

async function keepsBootNumber(board: BoardOnTrial): Promise<string> {
	const answer = done(await board.ear.ask("hello * -"), "hello");
	const again = lastOf(answer.before, "hello");
	if (again === undefined) throw new CheckFailed("no H");
	const { bootNumber } = identityOf(board);
	if (again.board.bootNumber !== bootNumber) {
		throw new CheckFailed(`${bootNumber}, then ${again.board.bootNumber} without a restart`);
	}
	return String(bootNumber);
}

// ---- Refusals ---------------------------------------------------------------------------------------------------

async function refuses(
	board: BoardOnTrial,
	rest: string,
	reasons: readonly RefusalReason[],
): Promise<string> {
	const answer = await board.ear.ask(rest);
	if (answer === null) throw new CheckFailed("no answer");
	const wanted = reasons.join(" or ");
	if (answer.refusal === null) throw new CheckFailed(`acknowledged instead of ${wanted}`);
	if (!reasons.includes(answer.refusal)) throw new CheckFailed(`${answer.refusal} instead of ${wanted}`);
	return inTime(answer, answer.refusal);
}

async function refusesOtherBand(board: BoardOnTrial): Promise<string> {
	// Never `start`: a board that takes it for one of its bands would drive.
	const { bandCount } = identityOf(board);
	return refuses(board, `contact ${Math.min(bandCount, mostBands)} -`, ["out-of-range"]);
}

async function refusesMoreCurrent(board: BoardOnTrial): Promise<string> {
	const most = Math.max(...bandsOf(board).map((band) => abilityOf(board, band).maximumMilliamp));
	const microamp = Math.round(1000 * most) + 1;
	const said = await refuses(board, `current * ${microamp}`, ["out-of-range", "over-limit"]);
	return `${microamp} µA: ${said}`;
}

async function refusesFrequency(board: BoardOnTrial): Promise<string> {
	const most = Math.max(...bandsOf(board).map((band) => abilityOf(board, band).maximumHertz));
	const said = await refuses(board, `frequency * ${most + 1}`, ["out-of-range"]);
	return `${most + 1} Hz: ${said}`;
}

// ---- Damage -----------------------------------------------------------------------------------------------------

async function ignoresDamage({ ear }: BoardOnTrial): Promise<string> {
	const from = ear.heard.length;
	const line = closedLine("Q 4000000001 alive * -");
	const digit = line.at(-2) === "0" ? "1" : "0";
	ear.write(`${line.slice(0, -2)}${digit}\n`);
	await ear.listen(answerWithinMs);
	if (ear.heard.slice(from).some((heard) => heard.kind === "reply")) throw new CheckFailed("answered");
	return "silent";
}

async function survivesNoise(board: BoardOnTrial): Promise<string> {
	// Every byte value, half a command, a command cut by a line feed, empty lines; the last line feed ends the noise.
	const everyByte = Array.from({ length: 256 }, (_, byte) =>
		String.fromCharCode((byte * 167 + 13) % 256),
	).join("");
	const command = closedLine("Q 4000000002 stop * -");
	board.ear.write(
		`${everyByte}\n${command.slice(0, 9)}\n${command.slice(9)}\r\n\n\r\n${command.slice(0, 14)}\n`,
	);
	await obeys(board, "alive * -");
	return "answers";
}

async function survivesLongLine(board: BoardOnTrial): Promise<string> {
	board.ear.write(`${"Q 1 alive * - ".repeat(Math.ceil((2 * longestLine) / 14))}\n`);
	await board.ear.listen(1500);
	await obeys(board, "alive * -");
	return "answers";
}

async function takesTwice(board: BoardOnTrial): Promise<string> {
	const id = 4_000_000_003;
	const first = done(await board.ear.ask("alive * -", id), "alive");
	done(await board.ear.ask("alive * -", id), "alive, said again with the same id");
	return inTime(first, "answered both times");
}

// ---- Settings ---------------------------------------------------------------------------------------------------

async function setsCurrent(board: BoardOnTrial): Promise<string> {
	const least = Math.max(...bandsOf(board).map((band) => abilityOf(board, band).minimumMilliamp));
	const before = bandsOf(board).map((band) => settingOf(board, band).currentMilliamp);
	const asked = Math.min(Math.max(least, 0.1), ...before);
	const said = await setsAndRestores(
		board,
		"current",
		asked * 1000,
		before.map((value) => value * 1000),
		(band) => {
			const now = settingOf(board, band).currentMilliamp;
			if (now > asked * (1 + 1e-9))
				throw new CheckFailed(`band ${band}: asked for ${asked} mA, C tells ${now} mA`);
		},
	);
	return `${asked} mA: ${said}`;
}

async function setsFrequency(board: BoardOnTrial): Promise<string> {
	const before = bandsOf(board).map((band) => settingOf(board, band).frequencyHertz);
	const range = bandsOf(board).map((band) => abilityOf(board, band));
	const most = Math.min(...range.map((ability) => ability.maximumHertz));
	const least = Math.max(...range.map((ability) => ability.minimumHertz));
	// Upwards, where a current that is allowed now stays allowed.
	const asked = before.every((hertz) => hertz < most) ? most : least;
	for (const band of bandsOf(board))
		assertAllowed(board, { ...settingOf(board, band), frequencyHertz: asked });
	const said = await setsAndRestores(board, "frequency", asked, before, (band) => {
		const now = settingOf(board, band).frequencyHertz;
		// A divider may not hit it, but nearer than a tenth.
		if (Math.abs(now - asked) > 0.1 * asked) throw new CheckFailed(`band ${band}: C tells ${now} Hz`);
	});
	return `${asked} Hz: ${said}`;
}

async function setsGain(board: BoardOnTrial): Promise<string> {
	const before = bandsOf(board).map((band) => settingOf(board, band).gain);
	const asked = Math.max(...bandsOf(board).map((band) => abilityOf(board, band).minimumGain));
	const said = await setsAndRestores(board, "gain", asked, before, (band) => {
		const now = settingOf(board, band).gain;
		if (Math.abs(now - asked) > 0.01 * asked) throw new CheckFailed(`band ${band}: C tells gain ${now}`);
	});
	return `gain ${asked}: ${said}`;
}

/** Sets all bands, looks with `look`, and sets each back as it was. */
async function setsAndRestores(
	board: BoardOnTrial,
	what: "current" | "frequency" | "gain",
	asked: number,
	before: readonly number[],
	look: (band: number) => void,
): Promise<string> {
	const numbers = bandsOf(board).map((band) => settingOf(board, band).configuration);
	try {
		const answer = done(await board.ear.ask(`${what} * ${written(asked)}`), what);
		for (const band of bandsOf(board)) {
			if (before[band] === asked) continue;
			const told = answer.before.some(
				(heard) => heard.kind === "configuration" && heard.configuration.bandIndex === band,
			);
			if (!told) throw new CheckFailed(`band ${band}: no new C before A`);
			if (settingOf(board, band).configuration === numbers[band]) {
				throw new CheckFailed(`band ${band}: another setting under the same number ${numbers[band]}`);
			}
			look(band);
		}
		return inTime(answer, "done");
	} finally {
		for (const band of bandsOf(board)) await board.ear.ask(`${what} ${band} ${written(before[band]!)}`);
	}
}

async function tellsContacts(board: BoardOnTrial): Promise<string> {
	const answer = done(await board.ear.ask("contact * -"), "contact");
	for (const band of bandsOf(board)) {
		const told = answer.before.find((heard) => heard.kind === "contacts" && heard.bandIndex === band);
		if (told?.kind !== "contacts") throw new CheckFailed(`band ${band}: no Z before A`);
	}
	return inTime(answer, "told");
}

// ---- Streaming --------------------------------------------------------------------------------------------------

async function streams(board: BoardOnTrial): Promise<string> {
	for (const band of bandsOf(board)) assertAllowed(board, settingOf(board, band));
	const badBefore = { ...board.ear.counters.bad };
	await obeys(board, "start * -");
	const heard = await board.ear.listen(streamMs);
	const rates: string[] = [];
	for (const band of bandsOf(board)) {
		const frames = framesOf(heard, band);
		if (frames.length < 3) throw new CheckFailed(`band ${band}: ${frames.length} frames in ${ms(streamMs)}`);
		const lost = frames.slice(1).reduce((sum, frame) => sum + frame.lostBefore, 0);
		if (lost > 0) throw new CheckFailed(`band ${band}: ${lost} frames missing by their sequence`);
		const seconds = (frames.at(-1)!.timeMicros - frames[0]!.timeMicros) / 1e6;
		const wall = (frames.at(-1)!.atMs - frames[0]!.atMs) / 1000;
		if (!(Math.abs(seconds - wall) < 0.2 * wall + 0.1)) {
			throw new CheckFailed(`band ${band}: its clock ran ${seconds.toFixed(2)} s in ${wall.toFixed(2)} s`);
		}
		if (activityOf(board, band) !== "running") throw new CheckFailed(`band ${band}: S does not say running`);
		rates.push(`band ${band}: ${((frames.length - 1) / seconds).toFixed(1)} frames/s`);
	}
	for (const [cause, count] of Object.entries(board.ear.counters.bad)) {
		const more = count - badBefore[cause as keyof typeof badBefore];
		if (more > 0) throw new CheckFailed(`${more} lines cannot be used: ${cause}`);
	}
	return rates.join("; ");
}

async function streamsOn(board: BoardOnTrial): Promise<string> {
	done(await board.ear.ask("hello * -"), "hello");
	await framesComeFrom(board, await board.ear.listen(1000));
	return "streams on";
}

async function changesWhileRunning(board: BoardOnTrial): Promise<string> {
	const before = bandsOf(board).map((band) => settingOf(board, band).gain);
	const least = Math.max(...bandsOf(board).map((band) => abilityOf(board, band).minimumGain));
	const from = board.ear.heard.length;
	const unknown = board.ear.counters.bad["unknown-configuration"];
	try {
		done(await board.ear.ask(`gain * ${written(least)}`), "gain");
		await board.ear.listen(1000);
		for (const band of bandsOf(board)) {
			const { configuration } = settingOf(board, band);
			const frames = framesOf(board.ear.heard.slice(from), band);
			if (!frames.some((frame) => frame.configuration === configuration)) {
				throw new CheckFailed(`band ${band}: no frame with the new setting within a second`);
			}
		}
		const lost = board.ear.counters.bad["unknown-configuration"] - unknown;
		if (lost > 0) throw new CheckFailed(`${lost} frames came before their C`);
		return "in order";
	} finally {
		for (const band of bandsOf(board)) await board.ear.ask(`gain ${band} ${written(before[band]!)}`);
	}
}

async function stops(board: BoardOnTrial): Promise<string> {
	await obeys(board, "stop * -");
	await board.ear.listen(drainMs);
	const late = await board.ear.listen(statusGapMs);
	for (const band of bandsOf(board)) {
		if (framesOf(late, band).length > 0)
			throw new CheckFailed(`band ${band} sends frames ${ms(drainMs)} after it`);
		if (activityOf(board, band) !== "stopped") throw new CheckFailed(`band ${band}: S does not say stopped`);
	}
	return "quiet";
}

async function stopsUnwatched(board: BoardOnTrial): Promise<string> {
	for (const band of bandsOf(board)) assertAllowed(board, settingOf(board, band));
	await obeys(board, "start * -");
	await framesComeFrom(board, await board.ear.listen(1000));
	// A second for its look at the clock, another for the status that tells it.
	const patienceMs = 1000 * (hostSilenceSeconds + 2);
	const isQuiet = () => bandsOf(board).every((band) => activityOf(board, band) === "stopped");
	const stopped = await board.ear.until(isQuiet, patienceMs);
	if (!stopped) throw new CheckFailed(`still running after ${ms(patienceMs)} of silence`);
	return "stopped by itself";
}

async function saidNothingBad({ ear }: BoardOnTrial): Promise<string> {
	const bad = Object.entries(ear.counters.bad).filter(([, count]) => count > 0);
	if (bad.length > 0) throw new CheckFailed(bad.map(([cause, count]) => `${cause} ${count}`).join(", "));
	if (ear.heard.some(({ kind }) => kind === "restart"))
		throw new CheckFailed("the board started afresh meanwhile");
	return `${ear.counters.lines} lines, all good`;
}

// ---- What the checks share --------------------------------------------------------------------------------------

async function obeys(board: BoardOnTrial, rest: string): Promise<string> {
	return inTime(done(await board.ear.ask(rest), rest.split(" ")[0]!), "answered");
}

/** @throws CheckFailed unless the command was carried out */
function done(answer: Answer | null, what: string): Answer {
	if (answer === null) throw new CheckFailed(`no answer to ${what}`);
	if (answer.refusal !== null) throw new CheckFailed(`${what} refused: ${answer.refusal}`);
	return answer;
}

function inTime(answer: Answer, said: string): string {
	if (answer.afterMs > answerWithinMs) throw new CheckFailed(`answered only after ${ms(answer.afterMs)}`);
	return `${said} after ${ms(answer.afterMs)}`;
}

async function framesComeFrom(board: BoardOnTrial, heard: readonly Heard[]): Promise<void> {
	for (const band of bandsOf(board)) {
		if (framesOf(heard, band).length === 0) throw new CheckFailed(`band ${band}: no frame within a second`);
	}
}

function framesOf(heard: readonly Heard[], band: number) {
	return heard.flatMap((one) => (one.kind === "frame" && one.bandIndex === band ? [one] : []));
}

function lastOf<K extends Heard["kind"]>(heard: readonly Heard[], kind: K) {
	return heard.findLast((one): one is Extract<Heard, { kind: K }> => one.kind === kind);
}

function identityOf({ identity }: BoardOnTrial): BoardIdentity {
	if (identity === null) throw new CheckFailed("the board has not said who it is");
	return identity;
}

export function bandsOf(board: BoardOnTrial): number[] {
	return Array.from({ length: identityOf(board).bandCount }, (_, band) => band);
}

function abilityOf({ abilities }: BoardOnTrial, band: number): BandAbility {
	const ability = abilities.get(band);
	if (ability === undefined) throw new CheckFailed(`no B for band ${band}`);
	return ability;
}

function settingOf(board: BoardOnTrial, band: number): DriveConfiguration {
	const setting = configurationOf(board, band);
	if (setting === null) throw new CheckFailed(`no C for band ${band}`);
	return setting;
}

function configurationOf({ ear }: BoardOnTrial, band: number): DriveConfiguration | null {
	const told = ear.heard.findLast(
		(heard) => heard.kind === "configuration" && heard.configuration.bandIndex === band,
	);
	return told?.kind === "configuration" ? told.configuration : null;
}

function activityOf({ ear }: BoardOnTrial, band: number): BandActivity | null {
	const told = ear.heard.findLast((heard) => heard.kind === "status" && heard.status.bandIndex === band);
	return told?.kind === "status" ? told.status.activity : null;
}

function assertAllowed({ workingLimitAmpere }: BoardOnTrial, setting: DriveConfiguration): void {
	const { bandIndex, currentMilliamp, frequencyHertz } = setting;
	const fault = currentFault(currentMilliamp, frequencyHertz, workingLimitAmpere);
	if (fault?.kind !== "over-current-limit") return;
	throw new CheckFailed(
		`band ${bandIndex}: ${currentMilliamp} mA at ${frequencyHertz} Hz, the limit is ${fault.limitMilliamp} mA`,
	);
}

/** Without the tail of digits that a unit's conversion leaves. */
function written(value: number): string {
	return String(Number(value.toPrecision(12)));
}

function ms(milliseconds: number): string {
	return `${Math.round(milliseconds)} ms`;
}
