import { BoardLink, type BoardLinkOptions } from "./board-link.ts";
import type { FrameSource, FrameSourceEvents } from "./frame-source.ts";
import { createSerialTransport } from "./serial-transport.ts";

export interface SerialSourceOptions extends Omit<BoardLinkOptions, "transport"> {
	/** Such as `/dev/ttyUSB0` or `COM3`: from `PortRegistry`, or typed by whoever runs the command line. */
	readonly path: string;
	/** Ignored by Bluetooth and pseudo-terminal ports. */
	readonly baudRate: number;
}

/** A board on a serial port. Faults: `no-such-port`, `port-busy`, `port-permission`, `port-failed`, `no-data`,
 *  `not-our-protocol`, `board-silent`, `board-refused`, `over-current-limit`. */
export function createSerialSource(options: SerialSourceOptions, events: FrameSourceEvents): FrameSource {
	const { path, baudRate, ...rest } = options;
	return new BoardLink({ ...rest, transport: createSerialTransport(path, baudRate) }, events);
}
