import { useEffect, useRef, useState } from "preact/hooks";
import type { RequestArgument } from "../../app/contract.ts";
import type { Bridge, Outcome, RequestFault } from "../bridge.ts";
import { downloadBlob } from "./download.ts";
import { useModel } from "./model-context.ts";

export interface SessionExport {
	/** How much is written by now, 0 to 1; null while nothing is exported. */
	readonly share: number | null;
	/** Of the last run; null while it runs or when it went well. */
	readonly fault: RequestFault | null;
	/** Hands the file to the browser's downloads. @returns its name; null when it failed or the screen was left. */
	run(wish: RequestArgument<"exportSession">): Promise<string | null>;
	/** Calls off what is under way. */
	cancel(): void;
	clearFault(): void;
}

/** A session as a file, fetched piece by piece; leaving the screen calls it off. */
export function useExport(): SessionExport {
	const { bridge } = useModel();
	const [share, setShare] = useState<number | null>(null);
	const [fault, setFault] = useState<RequestFault | null>(null);
	const controller = useRef<AbortController | null>(null);
	useEffect(() => () => controller.current?.abort(), []);
	return {
		share,
		fault,
		async run(wish) {
			controller.current?.abort();
			const own = new AbortController();
			controller.current = own;
			setShare(0);
			setFault(null);
			const outcome = await fetchExport(bridge, wish, setShare, own.signal);
			if (own.signal.aborted) return null;
			setShare(null);
			if (!outcome.ok) {
				setFault(outcome.error);
				return null;
			}
			downloadBlob(outcome.value.blob, outcome.value.fileName);
			return outcome.value.fileName;
		},
		cancel() {
			controller.current?.abort();
			setShare(null);
		},
		clearFault: () => setFault(null),
	};
}

type Fetched =
	| { readonly ok: true; readonly value: { readonly fileName: string; readonly blob: Blob } }
	| Extract<Outcome<"exportSession">, { readonly ok: false }>;

async function fetchExport(
	bridge: Pick<Bridge, "request">,
	wish: RequestArgument<"exportSession">,
	onShare: (share: number) => void,
	signal: AbortSignal,
): Promise<Fetched> {
	const opened = await bridge.request("exportSession", wish, signal);
	if (!opened.ok) return opened;
	const { exportId, fileName, mediaType } = opened.value;
	// As blobs they lie in the browser's own store, not among the page's texts.
	const parts: Blob[] = [];
	for (;;) {
		const piece = await bridge.request("readExport", { exportId }, signal);
		if (!piece.ok) return piece;
		if (piece.value.text !== "") parts.push(new Blob([piece.value.text]));
		if (piece.value.isLast) break;
		onShare(piece.value.share);
	}
	return { ok: true, value: { fileName, blob: new Blob(parts, { type: mediaType }) } };
}
