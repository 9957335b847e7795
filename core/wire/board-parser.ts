import { type BadLineCause, type BadLineCounts, createBadLineCounts } from "./bad-line.ts";
import { readConfiguration } from "./configuration-record.ts";
import { DeviceClock } from "./device-clock.ts";
import type {
	BandAbility,
	BandActivity,
	BandStatus,
	BoardIdentity,
	DriveConfiguration,
	Frame,
} from "./frame.ts";
import { type RefusalReason, refusalReasons } from "./host-command.ts";
import { isWhole, KnownConfigurations, readListLine } from "./known-configurations.ts";
import {
	largestCommandId,
	largestConfiguration,
	largestSequence,
	mostBands,
	mostElectrodes,
	mostReadings,
	protocolVersion,
} from "./limits.ts";
import { LineFields, wordBytes } from "./line-fields.ts";
import { ReadingsDecoder, readingEncodings } from "./readings.ts";
import { SequenceTracker } from "./sequence.ts";

/** What a board's lines say. Frames and contact values are valid only during the call. */
export interface BoardRecords {
	onHello(board: BoardIdentity): void;
	/** A board that speaks another version of the protocol: nothing else of its hello can be relied on. */
	onOtherVersion(version: number): void;
	onAbility(ability: BandAbility): void;
	/** A configuration that is new or says something new; never a plain repetition. */
	onConfiguration(configuration: DriveConfiguration): void;
	onFrame(frame: Frame, lostBefore: number): void;
	onStatus(status: BandStatus): void;
	onContacts(bandIndex: number, ohm: Float64Array): void;
	/** `refusal` is null when the board did as asked. */
	onReply(commandId: number, refusal: RefusalReason | null): void;
	/** The board has started afresh: its sequence numbers, clock and configurations are no longer those of before. */
	onRestart(): void;
}

export interface WireCounters {
	/** Whole, understood lines. */
	lines: number;
	frames: number;
	lost: number;
	bad: BadLineCounts;
}

/** What is kept for each band. */
interface BandMemory {
	readonly sequence: SequenceTracker;
	lastRawMicros: number;
	readonly configurations: KnownConfigurations;
	readonly contacts: Float64Array;
}

const activities: readonly BandActivity[] = ["running", "stopped", "charging", "tripped"];
const activityWords = wordBytes(activities);
const encodingWords = wordBytes(readingEncodings);
const refusalWords = wordBytes(refusalReasons);
const boardKindWords = wordBytes(["real", "simulated"]);
const simulatedKind = 1;

/**
 * The host's reader of a board's lines (`PROTOCOL.md`). Never throws on any bytes: what it cannot use it counts by
 * cause and skips. Frames are read into arrays that it owns; a frame costs no allocation.
 */
export class BoardParser {
	readonly counters: WireCounters = { lines: 0, frames: 0, lost: 0, bad: createBadLineCounts() };
	readonly #records: BoardRecords;
	readonly #microsSinceLastRecord: () => number;
	readonly #fields = new LineFields();
	readonly #readings = new ReadingsDecoder(mostReadings);
	readonly #clock = new DeviceClock();
	readonly #bands: readonly BandMemory[];
	#bootNumber = -1;
	#isJoining: boolean = false;

	/** `microsSinceLastRecord`: the host's estimate of the time since the latest whole line; it only bridges the
	 *  device time over a restart of the board. */
	constructor(records: BoardRecords, microsSinceLastRecord: () => number = () => 0) {
		this.#records = records;
		this.#microsSinceLastRecord = microsSinceLastRecord;
		this.#bands = Array.from({ length: mostBands }, () => ({
			sequence: new SequenceTracker(),
			lastRawMicros: -1,
			configurations: new KnownConfigurations(),
			contacts: new Float64Array(mostElectrodes),
		}));
	}

	/** Takes one line without its LF. */
	parse(line: Uint8Array): void {
		const shape = this.#fields.open(line);
		if (shape === "empty") return;
		const isFirst = this.#isJoining;
		this.#isJoining = false;
		if (isFirst && shape !== "whole") return;
		const cause = shape === "whole" ? this.#record() : shape;
		if (cause === null) this.counters.lines++;
		else this.counters.bad[cause]++;
	}

	/** To be called when the link was opened anew: whatever was known may have changed meanwhile, and the first line
	 *  may be the tail of one that began before, which is nobody's fault and not counted. */
	restart(): void {
		this.#isJoining = true;
		this.#forget();
	}

	#forget(): void {
		this.#clock.restart(this.#microsSinceLastRecord());
		this.#bootNumber = -1;
		for (const band of this.#bands) {
			band.sequence.restart();
			band.lastRawMicros = -1;
			band.configurations.clear();
		}
	}

	#record(): BadLineCause | null {
		switch (this.#fields.type()) {
			case 0x46: // F
				return this.#frame();
			case 0x53: // S
				return this.#status();
			case 0x5a: // Z
				return this.#contacts();
			case 0x41: // A
				return this.#reply(true);
			case 0x4e: // N
				return this.#reply(false);
			case 0x43: // C
				return this.#configuration();
			case 0x52: // R
				return this.#list();
			case 0x42: // B
				return this.#ability();
			case 0x48: // H
				return this.#hello();
			default:
				return "unknown-type";
		}
	}

	#frame(): BadLineCause | null {
		const fields = this.#fields;
		const bandIndex = fields.whole(0, mostBands - 1);
		const number = fields.whole(0, largestConfiguration);
		const sequence = fields.whole(0, largestSequence);
		const raw = fields.whole(0, largestSequence);
		const encoding = fields.choice(encodingWords);
		fields.lastField();
		if (fields.failed) return "bad-field";
		if (fields.outOfRange) return "out-of-range";
		if (this.#clock.ranBackwards(raw)) this.#boardRestarted();
		const band = this.#bands[bandIndex]!;
		const known = band.configurations.find(number);
		if (known === null || !isWhole(known)) return "unknown-configuration";
		const fault = this.#readings.read(readingEncodings[encoding]!, fields, known.frame.values);
		if (fault !== null) return fault;

		const step = band.sequence.step(sequence, raw === band.lastRawMicros);
		if (step === "repeated") return "repeated";
		if (step === "restarted") {
			// Its configurations may mean something else now: wait until they are announced again.
			this.#boardRestarted();
			return "unknown-configuration";
		}
		band.lastRawMicros = raw;
		const frame = known.frame;
		frame.sequence = sequence;
		frame.timeMicros = this.#clock.unwrap(raw);
		this.counters.frames++;
		this.counters.lost += band.sequence.lostBefore;
		this.#records.onFrame(frame, band.sequence.lostBefore);
		return null;
	}

	#status(): BadLineCause | null {
		const fields = this.#fields;
		const bandIndex = fields.whole(0, mostBands - 1);
		const raw = fields.whole(0, largestSequence);
		const activity = fields.choice(activityWords);
		const battery = fields.wholeOrUnknown(0, 100);
		const fault = fields.fault();
		if (fault !== null) return fault;
		this.#keepTime(raw);
		const batteryPercent = battery < 0 ? null : battery;
		this.#records.onStatus({ bandIndex, activity: activities[activity]!, batteryPercent });
		return null;
	}

	#contacts(): BadLineCause | null {
		const fields = this.#fields;
		const bandIndex = fields.whole(0, mostBands - 1);
		const raw = fields.whole(0, largestSequence);
		const band = this.#bands[bandIndex]!;
		let count = 0;
		let negative = false;
		if (fields.failed) return "bad-field";
		while (fields.hasEntry()) {
			const ohm = fields.decimalEntry(true);
			negative = negative || ohm < 0;
			if (count < mostElectrodes) band.contacts[count] = ohm;
			count++;
		}
		if (fields.failed) return "bad-payload";
		if (fields.outOfRange || negative) return "out-of-range";
		const expected = band.configurations.newest?.electrodeCount ?? count;
		if (count !== expected || count > mostElectrodes) return "wrong-count";
		this.#keepTime(raw);
		this.#records.onContacts(bandIndex, band.contacts.subarray(0, count));
		return null;
	}

	#reply(done: boolean): BadLineCause | null {
		const fields = this.#fields;
		const id = fields.whole(1, largestCommandId);
		const reason = done ? -1 : fields.choice(refusalWords);
		const fault = fields.fault();
		if (fault !== null) return fault;
		this.#records.onReply(id, done ? null : refusalReasons[reason]!);
		return null;
	}

	#configuration(): BadLineCause | null {
		const configuration = readConfiguration(this.#fields);
		if (typeof configuration === "string") return configuration;
		const { configurations } = this.#bands[configuration.bandIndex]!;
		if (configurations.add(configuration)) this.#records.onConfiguration(configuration);
		return null;
	}

	#list(): BadLineCause | null {
		const fields = this.#fields;
		const number = fields.whole(0, largestConfiguration);
		const bandIndex = fields.whole(0, mostBands - 1);
		const first = fields.whole(0, mostReadings - 1);
		if (fields.failed) return "bad-field";
		if (fields.outOfRange) return "out-of-range";
		const known = this.#bands[bandIndex]!.configurations.find(number);
		if (known === null) return "unknown-configuration";
		const wasWhole = isWhole(known);
		const fault = readListLine(fields, known, first);
		if (fault === null && !wasWhole && isWhole(known)) this.#records.onConfiguration(known.configuration);
		return fault;
	}

	#ability(): BadLineCause | null {
		const fields = this.#fields;
		const ability: BandAbility = {
			bandIndex: fields.whole(0, mostBands - 1),
			electrodeCount: fields.whole(8, mostElectrodes),
			minimumMilliamp: fields.whole(0, 10_000_000) / 1000,
			maximumMilliamp: fields.whole(0, 10_000_000) / 1000,
			minimumHertz: fields.whole(1, 10_000_000),
			maximumHertz: fields.whole(1, 10_000_000),
			minimumGain: fields.real(1e-6, 1e6),
			maximumGain: fields.real(1e-6, 1e6),
		};
		const fault = fields.fault();
		if (fault !== null) return fault;
		this.#records.onAbility(ability);
		return null;
	}

	#hello(): BadLineCause | null {
		const fields = this.#fields;
		const version = fields.whole(1, 9999);
		if (fields.failed) return "bad-field";
		if (fields.outOfRange) return "out-of-range";
		if (version !== protocolVersion) {
			this.#records.onOtherVersion(version);
			return null;
		}
		const bootNumber = fields.whole(0, largestSequence);
		const raw = fields.whole(0, largestSequence);
		const bandCount = fields.whole(1, mostBands);
		const kind = fields.choice(boardKindWords);
		const board = fields.word();
		const firmware = fields.word();
		const serial = fields.word();
		const fault = fields.fault();
		if (fault !== null) return fault;
		const before = this.#bootNumber;
		if (before >= 0 && before !== bootNumber) this.#boardRestarted();
		this.#bootNumber = bootNumber;
		this.#keepTime(raw);
		const simulated = kind === simulatedKind;
		this.#records.onHello({
			board,
			firmware,
			serial,
			protocolVersion,
			bandCount,
			bootNumber,
			simulated,
		});
		return null;
	}

	#keepTime(raw: number): void {
		if (this.#clock.ranBackwards(raw)) this.#boardRestarted();
		this.#clock.unwrap(raw);
	}

	#boardRestarted(): void {
		const bootNumber = this.#bootNumber;
		this.#forget();
		this.#bootNumber = bootNumber;
		this.#records.onRestart();
	}
}
