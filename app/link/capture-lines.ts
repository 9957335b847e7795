import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { LinkClock } from "./link-clock.ts";
import type { Transport } from "./transport.ts";

/** More tells nothing new about how a board writes. */
const mostBytes = 256 * 1024;

/** Listens to a port for a while without saying anything. @returns what came, a character for each byte. */
export async function captureLines(
	transport: Transport,
	milliseconds: number,
	clock: LinkClock,
	signal: AbortSignal,
): Promise<Result<string, Fault>> {
	const opened = await transport.open();
	if (!opened.ok) return opened;
	const { stream, close } = opened.value;
	const chunks: Buffer[] = [];
	let size = 0;
	let gone: Fault | null = null;
	await new Promise<void>((settle) => {
		const end = () => {
			cancel();
			signal.removeEventListener("abort", end);
			settle();
		};
		const cancel = clock.after(milliseconds, end);
		signal.addEventListener("abort", end);
		const lost = (error?: Error | null) => {
			gone = transport.lost(error ?? null);
			end();
		};
		stream.once("error", lost);
		stream.once("close", lost);
		stream.on("data", (chunk: Buffer) => {
			chunks.push(chunk);
			size += chunk.length;
			if (size >= mostBytes) end();
		});
	});
	stream.removeAllListeners("data");
	await close();
	if (signal.aborted) return failure({ kind: "cancelled" });
	if (size > 0) return success(Buffer.concat(chunks).toString("latin1", 0, mostBytes));
	return failure(gone ?? { kind: "no-data", path: transport.label });
}
