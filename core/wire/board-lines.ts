import { electrodeText } from "../band/board-electrode.ts";
import { closedLine } from "./crc.ts";
import type { BandAbility, BandStatus, BoardIdentity, DriveConfiguration } from "./frame.ts";
import type { RefusalReason } from "./host-command.ts";
import { protocolVersion } from "./limits.ts";
import { encodeReadings, type ReadingEncoding } from "./readings.ts";

/** Encoders of what a board sends: each gives whole lines, LF included. Raw device time: µs modulo 2³². */

export function helloLine(board: BoardIdentity, rawMicros: number): string {
	const kind = board.simulated ? "simulated" : "real";
	return closedLine(
		`H ${protocolVersion} ${board.bootNumber} ${rawMicros} ${board.bandCount} ${kind} ${board.board} ${board.firmware} ${board.serial}`,
	);
}

export function abilityLine(ability: BandAbility): string {
	const least = `${microamp(ability.minimumMilliamp)} ${microamp(ability.maximumMilliamp)}`;
	const frequencies = `${ability.minimumHertz} ${ability.maximumHertz}`;
	return closedLine(
		`B ${ability.bandIndex} ${ability.electrodeCount} ${least} ${frequencies} ${ability.minimumGain} ${ability.maximumGain}`,
	);
}

/** The configuration, and the list of its readings where it has one. */
export function configurationLines(drive: DriveConfiguration): string {
	const terminals = drive.terminals === "four-terminal" ? 4 : 2;
	const settings = `${microamp(drive.currentMilliamp)} ${drive.frequencyHertz} ${drive.gain}`;
	const scale = `${drive.voltsPerUnit} ${drive.fullScale}`;
	let lines = closedLine(
		`C ${drive.configuration} ${drive.bandIndex} ${drive.electrodeCount} ${drive.drive} ${terminals} ${drive.readingCount} ${settings} ${scale}`,
	);
	const list = drive.listedTerminals;
	if (list === null) return lines;
	for (let first = 0; first < drive.readingCount; first += readingsPerListLine) {
		const part = list.subarray(4 * first, 4 * Math.min(first + readingsPerListLine, drive.readingCount));
		const electrodes = Array.from(part, electrodeText);
		lines += closedLine(`R ${drive.configuration} ${drive.bandIndex} ${first} ${electrodes.join(",")}`);
	}
	return lines;
}

const readingsPerListLine = 64;

export function frameLine(
	bandIndex: number,
	configuration: number,
	sequence: number,
	rawMicros: number,
	encoding: ReadingEncoding,
	values: Float64Array,
): string {
	const readings = encodeReadings(encoding, values);
	return closedLine(`F ${bandIndex} ${configuration} ${sequence} ${rawMicros} ${encoding} ${readings}`);
}

export function statusLine(status: BandStatus, rawMicros: number): string {
	return closedLine(`S ${status.bandIndex} ${rawMicros} ${status.activity} ${status.batteryPercent ?? "-"}`);
}

/** Contact impedance per electrode, ohm; NaN where unreadable. */
export function contactsLine(bandIndex: number, rawMicros: number, ohm: ArrayLike<number>): string {
	const list = Array.from(ohm, (value) => (Number.isNaN(value) ? "-" : value.toFixed(0)));
	return closedLine(`Z ${bandIndex} ${rawMicros} ${list.join(",")}`);
}

export function acknowledgementLine(id: number): string {
	return closedLine(`A ${id}`);
}

export function refusalLine(id: number, reason: RefusalReason): string {
	return closedLine(`N ${id} ${reason}`);
}

/** @throws RangeError when the current is no whole number of µA. */
function microamp(milliamp: number): string {
	const whole = Math.round(milliamp * 1000);
	if (Math.abs(whole - milliamp * 1000) > 1e-6)
		throw new RangeError(`${milliamp} mA is no whole number of µA`);
	return String(whole);
}
