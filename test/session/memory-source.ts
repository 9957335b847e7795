import type { Fault, LinkState } from "../../app/contract.ts";
import type { BoardCommand, FrameSource, FrameSourceEvents } from "../../app/link/frame-source.ts";
import type { SourceFactory } from "../../app/session/sources.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { type Result, success } from "../../core/result.ts";
import type { BandAbility, BoardIdentity, DriveConfiguration } from "../../core/wire/frame.ts";

/** A board at the end of no cable: the test says what it says. */
export interface MemorySource {
	readonly factory: SourceFactory;
	readonly sent: BoardCommand[];
	/** What becomes of a command; all are done at once without this. */
	obey: (command: BoardCommand) => Result<null, Fault> | Promise<Result<null, Fault>>;
	ability(ability: Partial<BandAbility>): void;
	readonly isDisposed: boolean;
	/** Of the newest frame. */
	readonly sequence: number;
	tell(state: LinkState): void;
	announce(configuration?: Partial<DriveConfiguration>, board?: Partial<BoardIdentity>): void;
	configure(configuration: Partial<DriveConfiguration>): void;
	frame(
		values: Float64Array,
		change?: { bandIndex?: number; lostBefore?: number; timeMicros?: number },
	): void;
	contacts(bandIndex: number, ohm: readonly number[]): void;
}

export const plainBoard: BoardIdentity = {
	board: "Memory board",
	firmware: "1.0",
	serial: "M-1",
	protocolVersion: 1,
	bandCount: 1,
	bootNumber: 1,
	simulated: true,
};

export const plainConfiguration: DriveConfiguration = {
	configuration: 1,
	bandIndex: 0,
	electrodeCount: 16,
	drive: "adjacent",
	terminals: "four-terminal",
	readingCount: createPattern(16, "adjacent").terminals.length / 4,
	listedTerminals: null,
	currentMilliamp: 1,
	frequencyHertz: 50_000,
	gain: 1,
	voltsPerUnit: 1,
	fullScale: 0,
};

export const plainAbility: BandAbility = {
	bandIndex: 0,
	electrodeCount: 16,
	minimumMilliamp: 0.05,
	maximumMilliamp: 2,
	minimumHertz: 10_000,
	maximumHertz: 100_000,
	minimumGain: 1,
	maximumGain: 200,
};

/** `now` in ms; frames come 1/30 s apart unless told otherwise. */
export function createMemorySource(now: () => number): MemorySource {
	const sent: BoardCommand[] = [];
	let events: FrameSourceEvents | null = null;
	let isDisposed = false;
	let sequence = 0;
	let lost = 0;
	let timeMicros = 5_000_000;
	const numbers = new Map<number, number>();

	function tellAll(): FrameSourceEvents {
		if (events === null) throw new Error("memory source: nobody has connected");
		return events;
	}

	const source: MemorySource = {
		sent,
		obey: () => success(null),
		ability: (ability) => tellAll().onAbility?.({ ...plainAbility, ...ability }),
		get isDisposed() {
			return isDisposed;
		},
		get sequence() {
			return sequence;
		},
		factory(given): FrameSource {
			events = given;
			return {
				open() {
					given.onState({ state: "waiting-for-board", label: "memory" });
					return Promise.resolve();
				},
				send(command): Promise<Result<null, Fault>> {
					sent.push(command);
					return Promise.resolve(source.obey(command));
				},
				counters: () => ({ frames: sequence, lost, bad: { checksum: 0 } }),
				dispose() {
					isDisposed = true;
					given.onState({ state: "idle" });
					return Promise.resolve();
				},
			};
		},
		tell: (state) => tellAll().onState(state),
		announce(configuration = {}, board = {}) {
			tellAll().onBoard({ ...plainBoard, ...board });
			this.configure(configuration);
			tellAll().onState({ state: "streaming", label: "memory" });
		},
		configure(change) {
			const configuration = { ...plainConfiguration, ...change };
			numbers.set(configuration.bandIndex, configuration.configuration);
			tellAll().onConfiguration(configuration);
		},
		frame(values, change = {}) {
			const bandIndex = change.bandIndex ?? 0;
			sequence++;
			lost += change.lostBefore ?? 0;
			timeMicros = change.timeMicros ?? timeMicros + 33_333;
			const configuration = numbers.get(bandIndex) ?? 1;
			tellAll().onFrame(
				{ bandIndex, sequence, timeMicros, configuration, values },
				now(),
				change.lostBefore ?? 0,
			);
		},
		contacts: (bandIndex, ohm) => tellAll().onContacts(bandIndex, Float64Array.from(ohm)),
	};
	return source;
}
