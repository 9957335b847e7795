import { type Duplex, duplexPair } from "node:stream";
import type { Fault } from "../../app/contract.ts";
import { createLineReader } from "../../app/link/line-stream.ts";
import type { Transport } from "../../app/link/transport.ts";
import { failure, success } from "../../core/result.ts";
import {
	abilityLine,
	acknowledgementLine,
	configurationLines,
	frameLine,
	helloLine,
	refusalLine,
	statusLine,
} from "../../core/wire/board-lines.ts";
import { crc16OfText, crcDigits } from "../../core/wire/crc.ts";
import type { BandAbility, BandActivity, DriveConfiguration } from "../../core/wire/frame.ts";
import { type HostCommand, HostLineReader, type RefusalReason } from "../../core/wire/host-command.ts";

/** A board on paper: says and answers exactly what a test wants, over a pair of streams in memory. */
export class PaperBoard {
	/** Commands in the order in which they came, with their ids. */
	readonly heard: { readonly id: number; readonly command: HostCommand }[] = [];
	readonly transport: Transport;
	/** Faults of the next openings; an opening beyond them works. */
	readonly openingFaults: Fault[] = [];
	opened = 0;
	closed = 0;
	isMute: boolean = false;
	/** How many of the next commands are lost on the way. */
	deafFor = 0;
	refuses: Partial<Record<HostCommand["command"], RefusalReason>> = {};
	/** Lines of the announcement that are left out. */
	forgets: "" | "C" | "H" = "";
	/** What it says that it can be set to; nothing while null. It then takes a current that it is told. */
	ability: BandAbility | null = null;
	bootNumber = 1;
	serial = "P1";
	batteryPercent = 50;
	/** What its clock shows: as told last, unless a test turns it. */
	micros = 0;
	protocolVersion = 1;
	activity: BandActivity = "stopped";
	configuration: DriveConfiguration = {
		configuration: 1,
		bandIndex: 0,
		electrodeCount: 8,
		drive: "adjacent",
		terminals: "four-terminal",
		readingCount: 40,
		listedTerminals: null,
		currentMilliamp: 1,
		frequencyHertz: 50_000,
		gain: 8,
		voltsPerUnit: 1e-8,
		fullScale: 0,
	};
	#wire: Duplex | null = null;
	#sequence = 0;

	constructor() {
		this.transport = {
			label: "paper",
			open: async () => {
				const fault = this.openingFaults.shift();
				if (fault !== undefined) return failure(fault);
				this.opened++;
				const [stream, wire] = duplexPair();
				this.#attach(wire);
				const close = async () => {
					this.closed++;
					stream.destroy();
				};
				return success({ stream, close });
			},
			lost: () => ({ kind: "no-such-port", path: "paper" }),
		};
	}

	/** The cable comes out. */
	unplug(): void {
		this.#wire?.destroy();
	}

	say(text: string | Uint8Array): void {
		this.#wire?.write(typeof text === "string" ? Buffer.from(text, "latin1") : text);
	}

	frame(timeMicros: number, sequence = this.#sequence): void {
		this.#sequence = sequence + 1;
		this.micros = timeMicros;
		const values = new Float64Array(40).fill(sequence);
		this.say(frameLine(0, this.configuration.configuration, sequence, timeMicros, "d", values));
	}

	status(timeMicros: number, activity = this.activity): void {
		this.activity = activity;
		this.micros = timeMicros;
		this.say(statusLine({ bandIndex: 0, activity, batteryPercent: this.batteryPercent }, timeMicros));
	}

	announce(timeMicros = this.micros): void {
		this.micros = timeMicros;
		const identity = {
			board: "paper",
			firmware: "1",
			serial: this.serial,
			protocolVersion: 1,
			bandCount: 1,
			bootNumber: this.bootNumber,
			simulated: true,
		};
		if (this.forgets !== "H") this.say(this.#withVersion(helloLine(identity, timeMicros)));
		if (this.ability !== null) this.say(abilityLine(this.ability));
		if (this.forgets !== "C") this.say(configurationLines(this.configuration));
	}

	commands(): string[] {
		return this.heard.map(({ command }) => command.command);
	}

	#withVersion(line: string): string {
		if (this.protocolVersion === 1) return line;
		// A line of a later version, sealed as such a board would.
		return seal(line.slice(0, line.indexOf("~")).replace("H 1 ", `H ${this.protocolVersion} `));
	}

	#attach(wire: Duplex): void {
		this.#wire = wire;
		const reader = new HostLineReader();
		wire.on("error", () => {});
		const { input } = createLineReader((line) => {
			// The stream's end gives what was left of a line: nothing.
			if (line.length === 0) return;
			const read = reader.read(line);
			if (read.kind !== "command")
				throw new Error(`the host said something odd: ${Buffer.from(line).toString()}`);
			if (this.deafFor > 0) {
				this.deafFor--;
				return;
			}
			this.heard.push(read);
			if (!this.isMute) this.#answer(read.id, read.command);
		});
		wire.pipe(input);
	}

	#answer(id: number, command: HostCommand): void {
		const refusal = this.refuses[command.command];
		if (refusal !== undefined) {
			this.say(refusalLine(id, refusal));
			return;
		}
		if (command.command === "hello") this.announce();
		if (command.command === "current" && this.ability !== null) {
			const configuration = this.configuration.configuration + 1;
			this.configuration = { ...this.configuration, configuration, currentMilliamp: command.microamp / 1000 };
			this.say(configurationLines(this.configuration));
		}
		if (command.command === "start") this.activity = "running";
		if (command.command === "stop") this.activity = "stopped";
		this.say(acknowledgementLine(id));
	}
}

function seal(body: string): string {
	return `${body}~${crcDigits(crc16OfText(body))}\n`;
}
