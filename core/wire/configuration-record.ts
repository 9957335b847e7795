import type { BadLineCause } from "./bad-line.ts";
import type { DriveConfiguration } from "./frame.ts";
import { largestConfiguration, mostBands, mostElectrodes, mostReadings } from "./limits.ts";
import type { LineFields } from "./line-fields.ts";
import { readingCountOf } from "./reading-count.ts";

/** Reads a `C` line behind its type. What it returns can be relied on: the ring has the drive, and the drive has as
 *  many readings as are announced. A listed drive's terminals are still to come. */
export function readConfiguration(fields: LineFields): DriveConfiguration | BadLineCause {
	const configuration = fields.whole(0, largestConfiguration);
	const bandIndex = fields.whole(0, mostBands - 1);
	const electrodeCount = fields.whole(8, mostElectrodes);
	const drive = fields.word();
	const terminalCount = fields.whole(0, 9);
	const readingCount = fields.whole(1, mostReadings);
	const microamp = fields.whole(0, 10_000_000);
	const frequencyHertz = fields.whole(1, 10_000_000);
	const gain = fields.real(1e-6, 1e6);
	const voltsPerUnit = fields.real(1e-15, 1e3);
	const fullScale = fields.real(0, 1e15);
	const fault = fields.fault();
	if (fault !== null) return fault;
	if (terminalCount !== 4 && terminalCount !== 2) return "bad-field";
	const terminals = terminalCount === 4 ? "four-terminal" : "two-terminal";
	if (drive !== "listed") {
		const expected = readingCountOf(electrodeCount, drive, terminals);
		if (expected === null) return "out-of-range";
		if (readingCount !== expected) return "wrong-count";
	}
	return {
		configuration,
		bandIndex,
		electrodeCount,
		drive,
		terminals,
		readingCount,
		listedTerminals: drive === "listed" ? new Uint16Array(4 * readingCount) : null,
		currentMilliamp: microamp / 1000,
		frequencyHertz,
		gain,
		voltsPerUnit,
		fullScale,
	};
}
