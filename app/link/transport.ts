import type { Duplex } from "node:stream";
import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";

/** A way to a board that carries bytes both ways: a serial port, or the thread of a simulated board. */
export interface Transport {
	/** For people: `/dev/ttyUSB0`, `COM3`, `simulated band`. */
	readonly label: string;
	/** Bit/s, where it was chosen. */
	readonly baudRate?: number;
	/** Opens it anew; once closed it may be opened again. */
	open(): Promise<Result<Connection, Fault>>;
	/** Why the stream closed by itself, as the person should read it. */
	lost(error: Error | null): Fault;
}

export interface Connection {
	/** Emits `close` or `end` when the other end is gone. */
	readonly stream: Duplex;
	/** Lets go of it; bytes that were not sent yet are dropped. Safe when it is gone already; never rejects. */
	close(): Promise<void>;
}
