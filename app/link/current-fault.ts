import { checkCurrent, defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import type { Fault } from "../contract.ts";
import type { BoardCommand } from "./frame-source.ts";

/** A current above the limit in force at its frequency, as a fault with its figures; null when it may flow. */
export function currentFault(
	milliamp: number,
	hertz: number,
	workingLimitAmpere = defaultWorkingLimitAmpere,
): Fault | null {
	const allowed = checkCurrent(milliamp / 1000, hertz, workingLimitAmpere);
	if (allowed.ok) return null;
	return {
		kind: "over-current-limit",
		reportedMilliamp: milliamp,
		limitMilliamp: allowed.error.limitAmpere * 1000,
		frequencyHertz: hertz,
	};
}

/** What would be over the limit once a band with this configuration had done as told. */
export function currentFaultAfter(
	command: BoardCommand,
	configuration: DriveConfiguration,
	workingLimitAmpere = defaultWorkingLimitAmpere,
): Fault | null {
	if (command.bandIndex !== undefined && command.bandIndex !== configuration.bandIndex) return null;
	const { currentMilliamp, frequencyHertz } = configuration;
	switch (command.command) {
		case "set-current":
			return currentFault(command.milliamp, frequencyHertz, workingLimitAmpere);
		case "set-frequency":
			return currentFault(currentMilliamp, command.hertz, workingLimitAmpere);
		case "start":
		case "set-gain":
			return currentFault(currentMilliamp, frequencyHertz, workingLimitAmpere);
		case "stop":
		case "contact-check":
			return null;
	}
}
