/** A board in memory that does as it is told: Ohm's law through one load, an amplifier, a converter that saturates. */
import type { Fault } from "../../app/contract.ts";
import type { BoardCommand } from "../../app/link/frame-source.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { FakeClock } from "./fake-clock.ts";
import { type MemorySource, plainConfiguration } from "./memory-source.ts";

export interface ObedientBoard {
	/** Ω, of every reading */
	load: number;
	/** Times the load, reading by reading in turn: a muscle that works. */
	moves: number;
	/** [16] Ω; unreported while null. */
	contacts: number[] | null;
	/** Commands that it refuses. */
	refuses: readonly BoardCommand["command"][];
	readonly currentMilliamp: number;
	readonly gain: number;
	/** Hello, settings and first words. `currentMilliamp` as it wakes up. */
	announce(settings?: {
		currentMilliamp?: number;
		gain?: number;
		electrodeCount?: number;
		simulated?: boolean;
	}): void;
	/** Frames 1/30 s apart for so long. */
	play(seconds: number): Promise<void>;
	/** The same until it holds, for 30 s at most. */
	playUntil(isThere: () => boolean): Promise<void>;
}

/** V at the converter */
const fullScaleVolt = 1;
const electrodes = 16;

export function createObedientBoard(source: MemorySource, clock: FakeClock): ObedientBoard {
	let number = 1;
	let currentMilliamp = 1;
	let gain = 10;
	let frame = 0;
	const values = new Float64Array(plainConfiguration.readingCount);

	function configure(): void {
		source.configure({ configuration: number, currentMilliamp, gain, fullScale: fullScaleVolt / gain });
	}

	function tellContacts(): void {
		if (board.contacts !== null) source.contacts(0, board.contacts);
	}

	source.obey = (command): Result<null, Fault> => {
		if (board.refuses.includes(command.command)) {
			return failure({ kind: "board-refused", command: command.command, reason: "hardware" });
		}
		if (command.command === "contact-check") tellContacts();
		if (command.command === "set-current") currentMilliamp = command.milliamp;
		if (command.command === "set-gain") gain = command.gain;
		if (command.command === "set-current" || command.command === "set-gain") {
			number++;
			configure();
		}
		return success(null);
	};

	async function beat(): Promise<void> {
		// whole ms, as clocks tell them
		clock.turn(frame % 3 === 0 ? 34 : 33);
		frame++;
		const most = fullScaleVolt / gain;
		for (let r = 0; r < values.length; r++) {
			const noise = 1 + 2e-4 * Math.sin(1e4 * Math.sin(frame * 208 + r));
			const volt = (currentMilliamp / 1000) * board.load * (1 + board.moves) * noise;
			values[r] = Math.min(most, volt);
		}
		source.frame(values);
		await new Promise((resolve) => setImmediate(resolve));
	}

	const board: ObedientBoard = {
		load: 20,
		moves: 0,
		contacts: new Array<number>(electrodes).fill(400),
		refuses: [],
		get currentMilliamp() {
			return currentMilliamp;
		},
		get gain() {
			return gain;
		},
		announce(settings = {}) {
			currentMilliamp = settings.currentMilliamp ?? currentMilliamp;
			gain = settings.gain ?? gain;
			const { electrodeCount = electrodes, simulated = true } = settings;
			const readingCount = electrodeCount * (electrodeCount - 3);
			source.announce(
				{
					configuration: number,
					currentMilliamp,
					gain,
					fullScale: fullScaleVolt / gain,
					electrodeCount,
					readingCount,
				},
				{ simulated },
			);
		},
		async play(seconds) {
			for (let i = 0; i < Math.round(30 * seconds); i++) await beat();
		},
		async playUntil(isThere) {
			for (let i = 0; i < 900; i++) {
				if (isThere()) return;
				await beat();
			}
			throw new Error("it never came to be");
		},
	};
	return board;
}
