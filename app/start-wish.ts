/** What `npm start` was asked for. */
import { parseArgs } from "node:util";
import { defaultDataFolder } from "./session/data-folder.ts";

export const usage = `usage: npm start -- [--host loopback|electron] [--port N] [--data FOLDER] [--serial PATH] [--no-open]
  --host     electron: the desktop window or nothing; loopback: this machine's browser
  --port     port of the loopback host on 127.0.0.1; any free one when left out
  --data     folder of the records
  --serial   a serial device to offer under Connect that is not found by itself; may be given more than once
  --no-open  print the address instead of opening a window`;

export interface Wish {
	readonly host: "loopback" | "electron" | null;
	readonly port: number;
	readonly dataFolder: string;
	readonly serialPaths: readonly string[];
	readonly open: boolean;
}

/** @returns what is wrong with the call, in one sentence. */
export function readWish(argv: readonly string[]): Wish | string {
	let values: { host?: string; port?: string; data?: string; serial?: string[]; open?: boolean };
	try {
		({ values } = parseArgs({
			args: [...argv],
			options: {
				host: { type: "string" },
				port: { type: "string" },
				data: { type: "string" },
				serial: { type: "string", multiple: true },
				open: { type: "boolean" },
			},
			allowNegative: true,
		}));
	} catch (error) {
		return (error as Error).message;
	}
	const port = Number(values.port ?? "0");
	if (!Number.isInteger(port) || port < 0 || port > 65_535)
		return `--port takes 0 to 65535, not ${values.port}`;
	const host = values.host ?? null;
	if (host !== null && host !== "loopback" && host !== "electron") {
		return `--host takes loopback or electron, not ${host}`;
	}
	return {
		host,
		port,
		dataFolder: values.data ?? defaultDataFolder(),
		serialPaths: values.serial ?? [],
		open: values.open ?? true,
	};
}
