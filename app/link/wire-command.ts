import type { HostCommand } from "../../core/wire/host-command.ts";
import type { BoardCommand } from "./frame-source.ts";

/** A command in the protocol's units: whole µA, whole Hz. */
export function toHostCommand(command: BoardCommand): HostCommand {
	const bandIndex = command.bandIndex ?? null;
	switch (command.command) {
		case "start":
		case "stop":
			return { command: command.command, bandIndex };
		case "contact-check":
			return { command: "contact", bandIndex };
		case "set-current":
			return { command: "current", bandIndex, microamp: Math.round(command.milliamp * 1000) };
		case "set-frequency":
			return { command: "frequency", bandIndex, hertz: Math.round(command.hertz) };
		case "set-gain":
			return { command: "gain", bandIndex, gain: command.gain };
	}
}
