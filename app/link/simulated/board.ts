import {
	abilityLine,
	acknowledgementLine,
	configurationLines,
	contactsLine,
	frameLine,
	helloLine,
	refusalLine,
	statusLine,
} from "../../../core/wire/board-lines.ts";
import {
	type HostCommand,
	type HostLine,
	HostLineReader,
	type RefusalReason,
} from "../../../core/wire/host-command.ts";
import {
	hostSilenceSeconds,
	largestConfiguration,
	protocolVersion,
	statusEverySeconds,
} from "../../../core/wire/limits.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import { abilityOf, refusalOf, type Setting, withSetting } from "./board-settings.ts";
import { damageLine } from "./damage.ts";
import { Random } from "./random.ts";
import { SimulatedBand } from "./simulated-band.ts";
import type { FrameTruth, LineFate } from "./truth.ts";
import type { WornLimb } from "./worn-limb.ts";

/** Where a board's lines go. */
export interface BoardOutput {
	/** A whole line; `isFrame` ones may be dropped by a caller whose line is clogged: @returns whether it was taken. */
	line(bytes: Uint8Array, isFrame: boolean): boolean;
	truth?(truth: FrameTruth): void;
}

const boardName = "tautline-simulated";
const firmwareVersion = "1.0.0";
const contactsEverySeconds = 2;
const batteryHours = 9;
/** With so much charge, percent, and less it drives no current. */
const emptyBattery = 2;

/**
 * A board that does not exist: speaks the protocol in bytes, obeys the host's commands, and reads invented limbs.
 * It has no clock of its own: `advanceTo` takes it to a device time, in any steps, and the bytes that come out depend
 * on the options, the times and the commands alone.
 */
export class SimulatedBoard {
	readonly #options: SimulatedBoardOptions;
	readonly #output: BoardOutput;
	readonly #bands: readonly SimulatedBand[];
	readonly #lineRandom: Random;
	readonly #reader = new HostLineReader();
	#seconds = 0;
	#nextStatus = statusEverySeconds;
	#nextContacts = contactsEverySeconds;
	#heardAt = 0;
	#configurationNumber = 0;
	#isSwitchedOn: boolean = false;
	/** Lines of the host that are not answered yet, with their time, s. */
	readonly #waiting: { readonly at: number; readonly read: Exclude<HostLine, { kind: "ignore" }> }[] = [];

	/** @param limbs one for each band, see `createLimbs` */
	constructor(options: SimulatedBoardOptions, limbs: readonly WornLimb[], output: BoardOutput) {
		if (limbs.length !== options.bandCount) {
			throw new RangeError(`${options.bandCount} bands need as many limbs, got ${limbs.length}`);
		}
		this.#options = options;
		this.#output = output;
		this.#lineRandom = new Random(options.seed, "lines");
		this.#bands = limbs.map(
			(limb, index) => new SimulatedBand(options, limb, index, this.#nextConfigurationNumber()),
		);
	}

	/** When something is due next, s since the board's start. */
	get nextSeconds(): number {
		let next = Math.min(
			this.#nextStatus,
			this.#nextContacts,
			this.#waiting[0]?.at ?? Number.POSITIVE_INFINITY,
		);
		for (const band of this.#bands) if (band.activity === "running") next = Math.min(next, band.nextFrame);
		return next;
	}

	/** Device time, s since the board's start. */
	get seconds(): number {
		return this.#seconds;
	}

	/** Does all that is due until then, in its order. */
	advanceTo(seconds: number): void {
		if (!this.#isSwitchedOn) this.#switchOn();
		while (this.nextSeconds <= seconds) {
			this.#seconds = Math.max(this.#seconds, this.nextSeconds);
			this.#doNext();
		}
		this.#seconds = Math.max(this.#seconds, seconds);
	}

	/** Goes on from a later time, as after the computer slept: the frames between were never taken. */
	skipTo(seconds: number): void {
		const frames = Math.floor((seconds - this.#seconds) * this.#options.framesPerSecond);
		if (frames <= 0) return;
		const skipped = frames / this.#options.framesPerSecond;
		for (const band of this.#bands) {
			if (band.activity === "running") band.skip(frames, skipped);
		}
		this.#nextStatus += skipped;
		this.#nextContacts += skipped;
		this.#seconds += skipped;
	}

	/** Takes one line of the host, without its LF, at the time that was advanced to. */
	receive(line: Uint8Array): void {
		const read = this.#reader.read(line);
		if (read.kind === "ignore") return;
		this.#heardAt = this.#seconds;
		const { answersAfter = 0 } = this.#options;
		if (answersAfter > 0) this.#waiting.push({ at: this.#seconds + answersAfter, read });
		else this.#answer(read);
	}

	#answer(read: Exclude<HostLine, { kind: "ignore" }>): void {
		const refusal = read.kind === "refuse" ? read.reason : this.#obeyOrRefuse(read.command);
		this.#say(refusal === null ? acknowledgementLine(read.id) : refusalLine(read.id, refusal));
	}

	// ---- What is due --------------------------------------------------------------------------------------------

	#switchOn(): void {
		this.#isSwitchedOn = true;
		this.#announce();
		if (!this.#options.streamsAtOnce) return;
		for (const band of this.#bands) this.#start(band);
	}

	#doNext(): void {
		const answered = this.#waiting[0];
		if (answered !== undefined && answered.at <= this.#seconds) {
			this.#waiting.shift();
			this.#answer(answered.read);
			return;
		}
		for (const band of this.#bands) {
			if (band.activity === "running" && band.nextFrame <= this.#seconds) {
				this.#takeFrame(band);
				band.nextFrame += 1 / this.#options.framesPerSecond;
				return;
			}
		}
		if (this.#nextStatus <= this.#seconds) {
			this.#nextStatus += statusEverySeconds;
			this.#stopUnwatched();
			if (this.#batteryPercent() <= emptyBattery) for (const band of this.#bands) this.#stop(band);
			for (const band of this.#bands) this.#tellStatus(band);
			return;
		}
		this.#nextContacts += contactsEverySeconds;
		for (const band of this.#bands) if (band.activity === "running") this.#tellContacts(band);
	}

	/** No current into a person whom nobody watches. */
	#stopUnwatched(): void {
		if (this.#options.streamsAtOnce || this.#seconds - this.#heardAt <= hostSilenceSeconds) return;
		for (const band of this.#bands) if (band.activity === "running") this.#stop(band);
	}

	#takeFrame(band: SimulatedBand): void {
		const counts = band.read(this.#seconds);
		const sequence = band.takeSequence();
		const { configuration } = band.configuration;
		const encoding = this.#options.encoding ?? "i24";
		const line = frameLine(band.index, configuration, sequence, this.#rawMicros(), encoding, counts);
		const fate = this.#say(line, true);
		this.#output.truth?.(band.truthOf(sequence, fate));
	}

	// ---- What is said -------------------------------------------------------------------------------------------

	#announce(): void {
		const { seed, bandCount, bootNumber } = this.#options;
		const identity = {
			board: boardName,
			firmware: firmwareVersion,
			serial: `SIM-${seed.toString(16).toUpperCase().padStart(8, "0")}`,
			protocolVersion,
			bandCount,
			bootNumber: bootNumber ?? seed,
			simulated: true,
		};
		this.#say(helloLine(identity, this.#rawMicros()));
		for (const band of this.#bands) {
			this.#say(abilityLine(abilityOf(band.index, band.limb.electrodeCount)));
			this.#say(configurationLines(band.configuration));
			this.#tellStatus(band);
		}
	}

	#tellStatus(band: SimulatedBand): void {
		const batteryPercent = this.#batteryPercent();
		this.#say(
			statusLine({ bandIndex: band.index, activity: band.activity, batteryPercent }, this.#rawMicros()),
		);
	}

	#batteryPercent(): number {
		const { battery } = this.#options;
		if (battery !== undefined) return battery();
		return Math.max(emptyBattery + 1, Math.round(94 - (100 * this.#seconds) / (3600 * batteryHours)));
	}

	#tellContacts(band: SimulatedBand): void {
		this.#say(contactsLine(band.index, this.#rawMicros(), band.contactsAt(this.#seconds)));
	}

	#say(text: string, isFrame = false): LineFate {
		const { corruptShare, dropShare } = this.#options;
		const chance = this.#lineRandom.uniform();
		if (chance < dropShare) return "dropped";
		const bytes = Uint8Array.from(text, (character) => character.charCodeAt(0));
		const isDamaged = chance < dropShare + corruptShare;
		const sent = isDamaged ? damageLine(bytes, this.#lineRandom) : bytes;
		if (!this.#output.line(sent, isFrame)) return "dropped";
		return isDamaged ? "corrupted" : "sent";
	}

	#rawMicros(): number {
		return ((this.#options.firstMicros ?? 0) + Math.round(this.#seconds * 1e6)) % 2 ** 32;
	}

	// ---- Commands -----------------------------------------------------------------------------------------------

	#obeyOrRefuse(command: HostCommand): RefusalReason | null {
		return this.#options.refuses?.includes(command.command) === true ? "hardware" : this.#obey(command);
	}

	#obey(command: HostCommand): RefusalReason | null {
		switch (command.command) {
			case "hello":
				this.#announce();
				return null;
			case "alive":
				return null;
			case "start":
				return this.#forBands(command.bandIndex, (band) => this.#start(band));
			case "stop":
				return this.#forBands(command.bandIndex, (band) => this.#stop(band));
			case "contact":
				return this.#forBands(command.bandIndex, (band) => {
					this.#tellContacts(band);
					return null;
				});
			case "current":
				return this.#set(command.bandIndex, { currentMilliamp: command.microamp / 1000 });
			case "frequency":
				return this.#set(command.bandIndex, { frequencyHertz: command.hertz });
			case "gain":
				return this.#set(command.bandIndex, { gain: command.gain });
		}
	}

	#forBands(
		bandIndex: number | null,
		act: (band: SimulatedBand) => RefusalReason | null,
	): RefusalReason | null {
		if (bandIndex !== null && bandIndex >= this.#bands.length) return "out-of-range";
		for (const band of this.#bands) {
			if (bandIndex !== null && bandIndex !== band.index) continue;
			const refusal = act(band);
			if (refusal !== null) return refusal;
		}
		return null;
	}

	#start(band: SimulatedBand): RefusalReason | null {
		if (band.activity === "running") return null;
		if (this.#batteryPercent() <= emptyBattery) return "hardware";
		// Bands take turns within a frame period, as they would on shared electronics.
		const share = (1 + band.index) / this.#bands.length;
		band.start(this.#seconds, this.#seconds + share / this.#options.framesPerSecond);
		this.#tellStatus(band);
		return null;
	}

	#stop(band: SimulatedBand): null {
		if (band.activity === "stopped") return null;
		band.activity = "stopped";
		this.#tellStatus(band);
		return null;
	}

	#set(bandIndex: number | null, setting: Setting): RefusalReason | null {
		// All bands or none: a setting that one of them refuses changes nothing.
		const refusal = this.#forBands(bandIndex, (band) => refusalOf(withSetting(band.configuration, setting)));
		if (refusal !== null) return refusal;
		return this.#forBands(bandIndex, (band) => {
			const configuration = this.#nextConfigurationNumber();
			band.configuration = { ...withSetting(band.configuration, setting), configuration };
			this.#say(configurationLines(band.configuration));
			return null;
		});
	}

	#nextConfigurationNumber(): number {
		this.#configurationNumber = (this.#configurationNumber % largestConfiguration) + 1;
		return this.#configurationNumber;
	}
}
