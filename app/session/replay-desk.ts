import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { Picture } from "../pipeline/picture-stream.ts";
import type { Store } from "../store/store.ts";
import { LIVE_STREAM } from "./live-pictures.ts";
import { openReplay, type Replay, type ReplayParts } from "./replay.ts";

/** At most one stored session is open at a time; opening another closes it. */
export interface ReplayDesk {
	readonly current: Replay | null;
	open(sessionId: number): Result<null, Fault>;
	close(): void;
	/** @returns whether the picture is one for the screen. */
	take(picture: Picture): boolean;
}

/** Streams of one replay: pictures, and region means of the whole session. */
const STREAMS = 2;

export interface ReplayDeskParts extends Omit<ReplayParts, "streamId" | "store"> {
	readonly store: Store | null;
	/** Why there is no store. */
	readonly storeFault: () => Fault | null;
}

export function createReplayDesk(parts: ReplayDeskParts): ReplayDesk {
	const { store } = parts;
	let current: Replay | null = null;
	let streamId = LIVE_STREAM + 1;

	function close(): void {
		current?.dispose();
		current = null;
		parts.onChange();
	}

	return {
		get current() {
			return current;
		},
		open(sessionId) {
			if (store === null) return failure(parts.storeFault() ?? { kind: "internal", detail: "no store" });
			const opened = openReplay({ ...parts, store, streamId: streamId + STREAMS }, sessionId);
			if (!opened.ok) return failure(opened.error);
			close();
			// Pictures of the replay before may still be on their way: they carry its number.
			streamId += STREAMS;
			current = opened.value;
			parts.onChange();
			return success(null);
		},
		close,
		take(picture) {
			if (current === null || picture.stream < streamId) return false;
			return current.take(picture);
		},
	};
}
