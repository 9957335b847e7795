import type { LinkClock } from "../../app/link/link-clock.ts";

interface Alarm {
	readonly at: number;
	readonly call: () => void;
}

/** A clock that tests turn: time passes only in `pass`. */
export class FakeClock implements LinkClock {
	#ms = 1000;
	readonly #alarms = new Set<Alarm>();

	now(): number {
		return 1_800_000_000_000 + this.#ms;
	}

	monotonic(): number {
		return this.#ms;
	}

	after(delayMs: number, call: () => void): () => void {
		const alarm = { at: this.#ms + delayMs, call };
		this.#alarms.add(alarm);
		return () => void this.#alarms.delete(alarm);
	}

	/** Lets time pass, alarm by alarm; streams and promises come to rest before each. */
	async pass(ms: number): Promise<void> {
		const end = this.#ms + ms;
		await settle();
		for (;;) {
			let next: Alarm | null = null;
			for (const alarm of this.#alarms) if (next === null || alarm.at < next.at) next = alarm;
			if (next === null || next.at > end) break;
			this.#alarms.delete(next);
			this.#ms = Math.max(this.#ms, next.at);
			next.call();
			await settle();
		}
		this.#ms = end;
		await settle();
	}

	/** Time passes, but nobody is there to notice: alarms are late. */
	sleep(ms: number): void {
		this.#ms += ms;
	}

	get pending(): number {
		return this.#alarms.size;
	}
}

/** Some turns of the event loop: bytes cross a pair of streams in a few. */
export async function settle(): Promise<void> {
	for (let turn = 0; turn < 6; turn++) await new Promise((resolve) => setImmediate(resolve));
}
