import { likelyBaudRate } from "../../core/wire/likely-baud.ts";
import type { Fault } from "../contract.ts";
import type { Transport } from "./transport.ts";

/** Of lines of text next to no byte is so; of bytes heard at a wrong speed most are (our own choice between the two). */
const garbledShare = 0.2;

/** What talks at a port where not one line of ours was found.
 *  @param sample its first bytes */
export function garbageFault(
	{ label: path, baudRate }: Transport,
	bytesSeen: number,
	sample: Uint8Array,
): Fault {
	const likely = baudRate === undefined ? null : likelyBaudRate(sample, baudRate);
	const garbled = sample.reduce((count, byte) => count + (isText(byte) ? 0 : 1), 0);
	if (likely === null && garbled < garbledShare * sample.length) {
		return { kind: "not-our-protocol", path, bytesSeen };
	}
	return { kind: "wrong-speed", path, bytesSeen, likelyBaudRate: likely };
}

function isText(byte: number): boolean {
	return (byte >= 0x20 && byte < 0x7f) || byte === 0x09 || byte === 0x0a || byte === 0x0d;
}
