import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { SerialPort } from "serialport";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { describe as describePort, PortRegistry, type PortSearch } from "../../app/link/ports.ts";

let folder: string;
beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-ports-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

function createSearch(changes: Partial<PortSearch> = {}): PortSearch {
	return {
		platform: "linux",
		programPath: folder,
		deviceFolder: folder,
		listBySystem: async () => [],
		...changes,
	};
}

function touch(...names: string[]): void {
	for (const name of names) writeFileSync(join(folder, name), "");
}

function installUdevadm(): void {
	touch("udevadm");
	chmodSync(join(folder, "udevadm"), 0o755);
}

describe("listing ports", () => {
	test("without udevadm the device folder is read, with a note, and the system's listing is not touched", async () => {
		touch("ttyUSB10", "ttyUSB2", "ttyACM0", "rfcomm0", "ttyS0", "tty0", "null");
		const registry = new PortRegistry(
			[],
			createSearch({ listBySystem: () => Promise.reject(new Error("this would end the process")) }),
		);
		const { ports, note } = await registry.list();
		expect(ports.map(({ path, transport }) => [path, transport])).toEqual([
			[join(folder, "rfcomm0"), "bluetooth"],
			[join(folder, "ttyACM0"), "usb"],
			[join(folder, "ttyUSB2"), "usb"],
			[join(folder, "ttyUSB10"), "usb"],
		]);
		expect(note).toContain("udevadm is not installed");
	});

	test("a udevadm that may not be run counts as missing", async () => {
		touch("udevadm");
		chmodSync(join(folder, "udevadm"), 0o644);
		expect((await new PortRegistry([], createSearch()).list()).note).not.toBeNull();
	});

	test("with udevadm its list is used, bound Bluetooth ports are added, and phantom ports left out", async () => {
		installUdevadm();
		touch("rfcomm0", "ttyUSB0");
		const registry = new PortRegistry(
			[],
			createSearch({
				listBySystem: async () => [
					systemPort({ path: "/dev/ttyS0" }),
					systemPort({ path: "/dev/ttyS4", manufacturer: "A maker" }),
					systemPort({ path: "/dev/ttyUSB0", manufacturer: "Another maker", vendorId: "0403" }),
				],
			}),
		);
		const { ports, note } = await registry.list();
		expect(note).toBeNull();
		expect(ports.map(({ path, description, transport }) => [path, description, transport])).toEqual([
			["/dev/ttyS4", "A maker", "other"],
			["/dev/ttyUSB0", "Another maker", "usb"],
			[join(folder, "rfcomm0"), "Bluetooth serial port", "bluetooth"],
		]);
	});

	test("on this machine the listing neither fails nor ends the process, with udevadm or without", async () => {
		const real = createSearch({
			platform: process.platform,
			deviceFolder: "/dev",
			listBySystem: () => SerialPort.list(),
		});
		for (const programPath of [process.env.PATH ?? "", folder]) {
			const { ports } = await new PortRegistry([], { ...real, programPath }).list();
			expect(Array.isArray(ports)).toBe(true);
		}
	});

	test("ports named at the start come first, once", async () => {
		touch("ttyUSB0");
		const named = ["/dev/pts/7", join(folder, "ttyUSB0")];
		const registry = new PortRegistry(named, createSearch());
		const { ports } = await registry.list();
		expect(ports.map(({ path }) => path)).toEqual(named);
		expect(registry.pathOf(ports[0]!.portId)).toBe("/dev/pts/7");
	});

	test("a port keeps its id, and no other id leads to a path", async () => {
		touch("ttyUSB0");
		const registry = new PortRegistry([], createSearch());
		const [first] = (await registry.list()).ports;
		touch("ttyACM0");
		const again = (await registry.list()).ports;
		expect(again.find((port) => port.path === first!.path)?.portId).toBe(first!.portId);
		expect(new Set(again.map((port) => port.portId)).size).toBe(2);
		expect(registry.pathOf(first!.portId)).toBe(first!.path);
		for (const id of ["", "/dev/ttyUSB0", first!.path, "port-99", "__proto__"]) {
			expect(registry.pathOf(id)).toBeNull();
		}
	});
});

describe("what a port is", () => {
	test.each([
		["bound Bluetooth on Linux", { path: "/dev/rfcomm3" }, "/dev/rfcomm3", "bluetooth"],
		[
			"Bluetooth on Windows",
			{ path: "COM7", friendlyName: "Standard Serial over Bluetooth link (COM7)", pnpId: "BTHENUM\\{1101}" },
			"COM7",
			"bluetooth",
		],
		["USB on Windows", { path: "COM3", manufacturer: "A maker", vendorId: "0403" }, "COM3", "usb"],
		["Bluetooth on macOS", { path: "/dev/tty.Band-16" }, "/dev/cu.Band-16", "bluetooth"],
		[
			"USB on macOS",
			{ path: "/dev/tty.usbserial-12", vendorId: "0403", serialNumber: "12" },
			"/dev/cu.usbserial-12",
			"usb",
		],
		["a built-in port", { path: "/dev/ttyAMA0" }, "/dev/ttyAMA0", "other"],
	] as const)("%s", (_, port, path, transport) => {
		expect(describePort(port)).toMatchObject({ path, transport });
	});
});

function systemPort(port: { path: string; manufacturer?: string; vendorId?: string }) {
	return {
		manufacturer: undefined,
		serialNumber: undefined,
		pnpId: undefined,
		locationId: undefined,
		productId: undefined,
		vendorId: undefined,
		...port,
	};
}
