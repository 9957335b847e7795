import { constants } from "node:fs";
import { access, readdir } from "node:fs/promises";
import { delimiter, join } from "node:path";
import { SerialPort } from "serialport";
import type { PortInfo } from "../contract.ts";

/** What is known of a port before it gets an id. */
export type FoundPort = Omit<PortInfo, "portId">;

export interface PortListing {
	readonly ports: readonly PortInfo[];
	/** Said to the person when the list may be incomplete. */
	readonly note: string | null;
}

/** Where ports are looked for; tests put their own in place of the machine's. */
export interface PortSearch {
	readonly platform: NodeJS.Platform;
	/** Folders in which programs are found, as in `PATH`. */
	readonly programPath: string;
	readonly deviceFolder: string;
	listBySystem(): ReturnType<typeof SerialPort.list>;
}

const thisMachine: PortSearch = {
	platform: process.platform,
	programPath: process.env.PATH ?? "",
	deviceFolder: "/dev",
	listBySystem: () => SerialPort.list(),
};

/** Hands out ids for ports, so that a page names ports without ever naming a path. An id stays with its path. */
export class PortRegistry {
	readonly #search: PortSearch;
	readonly #named: readonly FoundPort[];
	readonly #ids = new Map<string, string>();

	/** @param namedPaths ports that no search finds (a pseudo-terminal, a device of an unusual name), listed first */
	constructor(namedPaths: readonly string[] = [], search: PortSearch = thisMachine) {
		this.#search = search;
		this.#named = namedPaths.map((path) => ({ path, description: "Named at the start", transport: "other" }));
	}

	async list(): Promise<PortListing> {
		const { ports, note } = await findPorts(this.#search);
		const isNamed = (port: FoundPort): boolean => this.#named.some(({ path }) => path === port.path);
		const all = [...this.#named, ...ports.filter((port) => !isNamed(port))];
		return { ports: all.map((port) => ({ portId: this.idOf(port.path), ...port })), note };
	}

	/** The path of a port that was listed; null for any other id. */
	pathOf(portId: string): string | null {
		for (const [path, id] of this.#ids) if (id === portId) return path;
		return null;
	}

	/** The id of a port whose path the app itself knows, listed or not. */
	idOf(path: string): string {
		const id = this.#ids.get(path) ?? `port-${this.#ids.size + 1}`;
		this.#ids.set(path, id);
		return id;
	}
}

async function findPorts(search: PortSearch): Promise<{ ports: FoundPort[]; note: string | null }> {
	if (search.platform !== "linux") return { ports: (await search.listBySystem()).map(describe), note: null };
	// Without udevadm the port library's own listing ends the process with an uncaught error.
	if (!(await hasProgram("udevadm", search.programPath))) {
		return {
			ports: await scanDevices(search.deviceFolder),
			note: "The list was read from the device folder because udevadm is not installed: names of makers are missing.",
		};
	}
	const listed = (await search.listBySystem()).map(describe);
	// Bluetooth ports that were bound by hand are not always known to udev.
	const known = new Set(listed.map((port) => port.path));
	const bound = (await scanDevices(search.deviceFolder)).filter(
		(port) => port.transport === "bluetooth" && !known.has(port.path),
	);
	return { ports: [...listed.filter(isLikely), ...bound], note: null };
}

/** Motherboards announce dozens of `ttyS` ports that nothing is behind; one that is real has a maker. */
function isLikely(port: FoundPort): boolean {
	return !(/\/ttyS\d+$/.test(port.path) && port.description === "Serial port");
}

interface SystemPort {
	readonly path: string;
	readonly manufacturer?: string | undefined;
	readonly serialNumber?: string | undefined;
	readonly pnpId?: string | undefined;
	readonly vendorId?: string | undefined;
	readonly friendlyName?: string | undefined;
}

/** @internal for tests */
export function describe(port: SystemPort): FoundPort {
	// macOS lists call-in ports (tty.*), whose opening waits for a modem's carrier: the call-out port never does.
	const path = port.path.replace(/^\/dev\/tty\.(?=.)/, "/dev/cu.");
	const names = [path, port.friendlyName, port.manufacturer, port.pnpId].filter((name) => name !== undefined);
	const isBluetooth =
		/\/rfcomm\d+$/.test(path) ||
		names.some((name) => /bluetooth|BTHENUM/i.test(name)) ||
		// Serial-port-profile devices on macOS: call-out ports that belong to no USB device.
		(/^\/dev\/cu\./.test(path) && port.vendorId === undefined && port.serialNumber === undefined);
	const transport = isBluetooth ? "bluetooth" : isUsb(path, port) ? "usb" : "other";
	const fallback = { bluetooth: "Bluetooth serial port", usb: "USB serial port", other: "Serial port" };
	return { path, description: port.friendlyName ?? port.manufacturer ?? fallback[transport], transport };
}

function isUsb(path: string, port: SystemPort): boolean {
	return port.vendorId !== undefined || /tty(USB|ACM)\d+$/.test(path) || /usb/i.test(port.pnpId ?? "");
}

async function scanDevices(folder: string): Promise<FoundPort[]> {
	let names: string[];
	try {
		names = await readdir(folder);
	} catch (error) {
		if (error instanceof Error && "code" in error && error.code === "ENOENT") return [];
		throw error;
	}
	return names
		.filter((name) => /^(tty(USB|ACM|AMA|O|XRUSB)|rfcomm)\d+$/.test(name))
		.sort((a, b) => a.localeCompare(b, "en", { numeric: true }))
		.map((name) => describe({ path: join(folder, name) }));
}

async function hasProgram(name: string, programPath: string): Promise<boolean> {
	for (const folder of programPath.split(delimiter)) {
		if (folder === "") continue;
		try {
			await access(join(folder, name), constants.X_OK);
			return true;
		} catch {
			// Not in this folder: look in the next.
		}
	}
	return false;
}
