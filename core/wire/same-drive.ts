import type { DriveConfiguration } from "./frame.ts";

/** Same electrodes, drive, current, frequency, gain and unit; lists of readings and full scale are not looked at. */
export function isSameDrive(a: DriveConfiguration, b: DriveConfiguration): boolean {
	return (
		a.electrodeCount === b.electrodeCount &&
		a.drive === b.drive &&
		a.terminals === b.terminals &&
		a.readingCount === b.readingCount &&
		a.currentMilliamp === b.currentMilliamp &&
		a.frequencyHertz === b.frequencyHertz &&
		a.gain === b.gain &&
		a.voltsPerUnit === b.voltsPerUnit
	);
}
