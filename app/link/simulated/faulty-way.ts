import { misread } from "../../../core/wire/uart.ts";
import { damageLine } from "./damage.ts";
import { Random } from "./random.ts";
import type { Way } from "./serve-board.ts";

const frameType = 0x46;

/** How the way between a board and its host is just now. */
export type WayState = "clear" | "silent" | "noisy" | "drowned" | "half-a-frame" | "misread";

/** A way on which lines are lost, damaged, cut or heard at another speed. */
export class FaultyWay implements Way {
	state: WayState = "clear";
	/** Half a frame has gone out. */
	onHalf: () => void = () => {};
	readonly #random: Random;
	readonly #hostBaud: number;

	constructor(seed: number, hostBaud: number) {
		this.#random = new Random(seed, "way");
		this.#hostBaud = hostBaud;
	}

	toHost(line: Uint8Array): Uint8Array | null {
		switch (this.state) {
			case "clear":
				return line;
			case "silent":
				return null;
			case "noisy":
				return this.#disturb(line, 1 / 3, 1 / 3);
			case "drowned":
				return this.#disturb(line, 0.7, 0.3);
			case "half-a-frame":
				if (line[0] !== frameType) return line;
				this.state = "silent";
				queueMicrotask(this.onHalf);
				return line.subarray(0, line.length >> 1);
			case "misread":
				return misread(line, this.#hostBaud / 2, this.#hostBaud);
		}
	}

	toBoard(chunk: Uint8Array): Uint8Array | null {
		if (this.state === "silent") return null;
		return this.state === "misread" ? misread(chunk, this.#hostBaud, this.#hostBaud / 2) : chunk;
	}

	#disturb(line: Uint8Array, damaged: number, lost: number): Uint8Array | null {
		const chance = this.#random.uniform();
		if (chance < lost) return null;
		return chance < lost + damaged ? damageLine(line, this.#random) : line;
	}
}
