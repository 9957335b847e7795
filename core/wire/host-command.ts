import { closedLine } from "./crc.ts";
import { largestCommandId, mostBands } from "./limits.ts";
import { LineFields } from "./line-fields.ts";

/** What a host asks of a board; `bandIndex` null means every band. Currents in whole µA r.m.s. on the wire. */
export type HostCommand =
	| { readonly command: "hello" }
	| { readonly command: "alive" }
	| { readonly command: "start"; readonly bandIndex: number | null }
	| { readonly command: "stop"; readonly bandIndex: number | null }
	| { readonly command: "contact"; readonly bandIndex: number | null }
	| { readonly command: "current"; readonly bandIndex: number | null; readonly microamp: number }
	| { readonly command: "frequency"; readonly bandIndex: number | null; readonly hertz: number }
	| { readonly command: "gain"; readonly bandIndex: number | null; readonly gain: number };

/** Why a board did not do as it was asked. */
export const refusalReasons = [
	/** A command that this board does not know. */
	"unknown-command",
	/** A field is missing or not written as asked. */
	"bad-argument",
	/** Outside what the board's `B` record announced. */
	"out-of-range",
	/** The board's own current limit forbids it. */
	"over-limit",
	/** Charging: no current may flow. */
	"charging",
	/** Another command is still being carried out. */
	"busy",
	/** The board found a fault in itself. */
	"hardware",
] as const;
export type RefusalReason = (typeof refusalReasons)[number];

/** One line, LF included. @throws RangeError when a number cannot be written as the protocol asks. */
export function encodeHostCommand(id: number, command: HostCommand): string {
	if (!Number.isInteger(id) || id < 1 || id > largestCommandId) throw new RangeError(`command id ${id}`);
	return closedLine(`Q ${id} ${command.command} ${bandField(command)} ${valueField(command)}`);
}

export type HostLine =
	| { readonly kind: "command"; readonly id: number; readonly command: HostCommand }
	/** Whole, so it can be answered, but not something to carry out. */
	| { readonly kind: "refuse"; readonly id: number; readonly reason: RefusalReason }
	/** Damaged or not a command line: not answered, the host asks again. */
	| { readonly kind: "ignore" };

/** The board's reader of what a host sends. Never throws, whatever the bytes. */
export class HostLineReader {
	readonly #fields = new LineFields();

	/** `line` without its LF. */
	read(line: Uint8Array): HostLine {
		const fields = this.#fields;
		if (fields.open(line) !== "whole" || fields.type() !== 0x51) return { kind: "ignore" };
		const id = fields.whole(1, largestCommandId);
		if (fields.failed || fields.outOfRange) return { kind: "ignore" };
		const name = fields.word();
		const band = fields.bandOrAll(mostBands - 1);
		const bandIndex = band < 0 ? null : band;
		const command = readCommand(fields, name, bandIndex);
		if (fields.failed || (command !== null && !fields.finished())) {
			return { kind: "refuse", id, reason: "bad-argument" };
		}
		if (command === null) return { kind: "refuse", id, reason: "unknown-command" };
		return fields.outOfRange
			? { kind: "refuse", id, reason: "out-of-range" }
			: { kind: "command", id, command };
	}
}

function readCommand(fields: LineFields, name: string, bandIndex: number | null): HostCommand | null {
	switch (name) {
		case "hello":
		case "alive":
			fields.nothing();
			return { command: name };
		case "start":
		case "stop":
		case "contact":
			fields.nothing();
			return { command: name, bandIndex };
		case "current":
			return { command: name, bandIndex, microamp: fields.whole(0, 10_000) };
		case "frequency":
			return { command: name, bandIndex, hertz: fields.whole(1, 10_000_000) };
		case "gain":
			return { command: name, bandIndex, gain: fields.real(1e-6, 1e6) };
		default:
			return null;
	}
}

function bandField(command: HostCommand): string {
	const band = "bandIndex" in command ? command.bandIndex : null;
	if (band === null) return "*";
	if (!Number.isInteger(band) || band < 0 || band >= mostBands) throw new RangeError(`band ${band}`);
	return String(band);
}

function valueField(command: HostCommand): string {
	switch (command.command) {
		case "current":
			return wholeField(command.microamp, "current in µA");
		case "frequency":
			return wholeField(command.hertz, "frequency in Hz");
		case "gain":
			if (!(command.gain > 0 && Number.isFinite(command.gain))) throw new RangeError(`gain ${command.gain}`);
			return String(command.gain);
		case "hello":
		case "alive":
		case "start":
		case "stop":
		case "contact":
			return "-";
	}
}

function wholeField(value: number, what: string): string {
	if (!Number.isInteger(value) || value < 0) throw new RangeError(`${what}: ${value} is not a whole number`);
	return String(value);
}
