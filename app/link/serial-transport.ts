import { constants } from "node:fs";
import { access, open, readFile, stat } from "node:fs/promises";
import { isatty } from "node:tty";
import { SerialPort } from "serialport";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { Connection, Transport } from "./transport.ts";

/** A serial port, USB or Bluetooth, by its path. */
export function createSerialTransport(path: string, baudRate: number): Transport {
	return {
		label: path,
		baudRate,
		async open() {
			const fault = await whyNot(path);
			return fault === null ? openPort(path, baudRate) : failure(fault);
		},
		// Whatever the system says when an open port goes away (it may even be "bad file descriptor"): the cable is
		// out or the radio link is gone, and that is what a person can see to.
		lost: () => ({ kind: "no-such-port", path }),
	};
}

function openPort(path: string, baudRate: number): Promise<Result<Connection, Fault>> {
	return new Promise((settle) => {
		const port = new SerialPort({ path, baudRate, autoOpen: false, highWaterMark: 64 * 1024 });
		// Until the caller listens, an error between opening and that moment must not end the process.
		port.on("error", () => {});
		const connection = { stream: port, close: () => closePort(port) };
		port.open((error) => {
			if (error === null) settle(success(connection));
			else void whyNotOpen(path, error).then((fault) => settle(failure(fault)));
		});
	});
}

/** Unsent bytes go first: closing a port waits for them, on some drivers for half a minute. */
function closePort(port: SerialPort): Promise<void> {
	return new Promise((settle) => {
		if (!port.isOpen) settle();
		// A port that is gone can neither be emptied nor closed: there is nothing left to let go of then.
		else port.flush(() => port.close(() => settle()));
	});
}

/** What the file system can tell before opening: the port library's errors carry no code, only text. */
async function whyNot(path: string): Promise<Fault | null> {
	if (process.platform === "win32") return null;
	let group: number;
	try {
		const entry = await stat(path);
		group = entry.gid;
		if (!entry.isCharacterDevice()) return { kind: "not-a-port", path };
	} catch (error) {
		switch (codeOf(error)) {
			case "ENOENT":
			case "ENOTDIR":
				return { kind: "no-such-port", path };
			case "EACCES":
				return { kind: "port-permission", path, group: null };
			default:
				return { kind: "port-failed", path, detail: (error as Error).message };
		}
	}
	try {
		await access(path, constants.R_OK | constants.W_OK);
		return null;
	} catch {
		// Only permission is left: the entry was there a moment ago.
		return { kind: "port-permission", path, group: await groupName(group) };
	}
}

/** A device that is no terminal takes no speed; so does a port that takes another one only. Looked at after the failure,
 *  for opening a port can set its board back. */
async function whyNotOpen(path: string, error: Error): Promise<Fault> {
	const isSpeed = /inappropriate ioctl/i.test(error.message);
	return isSpeed && !(await isTerminal(path)) ? { kind: "not-a-port", path } : toFault(path, error);
}

async function isTerminal(path: string): Promise<boolean> {
	try {
		await using file = await open(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
		return isatty(file.fd);
	} catch {
		// It was there a moment ago: what the port library said is told.
		return true;
	}
}

/** @internal for tests: the port library names its causes in text only. */
export function toFault(path: string, error: Error): Fault {
	const text = error.message;
	if (/no such file|file not found|no such device/i.test(text)) return { kind: "no-such-port", path };
	if (/cannot lock|temporarily unavailable|resource busy|device or resource busy/i.test(text)) {
		return { kind: "port-busy", path };
	}
	// Windows says "access denied" when another program holds the port.
	if (/access denied/i.test(text)) return { kind: "port-busy", path };
	if (/permission denied|operation not permitted/i.test(text)) {
		return { kind: "port-permission", path, group: null };
	}
	return { kind: "port-failed", path, detail: text.replace(/^Error:? /, "") };
}

async function groupName(gid: number): Promise<string | null> {
	try {
		const line = (await readFile("/etc/group", "utf8"))
			.split("\n")
			.find((row) => row.split(":")[2] === String(gid));
		return line?.split(":")[0] ?? null;
	} catch (error) {
		// macOS keeps most groups elsewhere: the name is only a hint for the person.
		if (codeOf(error) === "ENOENT") return null;
		throw error;
	}
}

function codeOf(error: unknown): unknown {
	return error instanceof Error && "code" in error ? error.code : null;
}
