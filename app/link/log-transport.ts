import { Duplex } from "node:stream";
import { success } from "../../core/result.ts";
import type { BoardProfile } from "../../core/wire/profile/board-profile.ts";
import { ProfileReader } from "../../core/wire/profile/profile-reader.ts";
import type { LinkClock } from "./link-clock.ts";
import type { Transport } from "./transport.ts";

const lineFeed = 0x0a;

/**
 * A recorded log that plays as if its board were connected: each frame's lines come at the time that the log tells,
 * counted from its first frame, or at an even rate where it tells none. The stream ends with the log.
 */
export function createLogTransport(
	label: string,
	log: Uint8Array,
	profile: BoardProfile,
	framesPerSecond: number,
	clock: LinkClock,
): Transport {
	return {
		label,
		open: async () => {
			const stream = playLog(log, frameEnds(log, profile, framesPerSecond), clock);
			return success({
				stream,
				close: async () => {
					stream.destroy();
				},
			});
		},
		lost: () => ({ kind: "no-such-port", path: label }),
	};
}

interface FrameEnd {
	/** Bytes of the log up to and with the frame's last line. */
	readonly offset: number;
	/** ms since the first frame */
	readonly atMs: number;
}

function frameEnds(log: Uint8Array, profile: BoardProfile, framesPerSecond: number): FrameEnd[] {
	const ends: FrameEnd[] = [];
	let offset = 0;
	let first = Number.NaN;
	const reader = new ProfileReader(profile, ({ timeMicros }) => {
		if (Number.isNaN(first)) first = timeMicros;
		ends.push({ offset, atMs: (timeMicros - first) / 1000 });
	});
	for (let from = 0; from < log.length; from = offset) {
		const feed = log.indexOf(lineFeed, from);
		const end = feed < 0 ? log.length : feed;
		offset = end + 1;
		reader.parse(log.subarray(from, end), (1e6 * ends.length) / framesPerSecond);
	}
	// The reader may stand before the line's end when the log has none.
	return ends.map((end) => ({ ...end, offset: Math.min(end.offset, log.length) }));
}

function playLog(log: Uint8Array, ends: readonly FrameEnd[], clock: LinkClock): Duplex {
	let cancel = () => {};
	let next = 0;
	let sent = 0;
	const stream = new Duplex({
		read() {},
		write: (_chunk, _encoding, done) => done(),
		destroy(error, done) {
			cancel();
			done(error);
		},
	});
	const startedAt = clock.monotonic();
	const play = () => {
		if (stream.destroyed) return;
		const now = clock.monotonic() - startedAt;
		let until = sent;
		while (next < ends.length && ends[next]!.atMs <= now) until = ends[next++]!.offset;
		if (next === ends.length) until = log.length;
		if (until > sent) stream.push(log.subarray(sent, until));
		sent = until;
		if (next < ends.length) {
			cancel = clock.after(Math.max(1, ends[next]!.atMs - now), play);
			return;
		}
		// A last line without its line feed is whole all the same.
		if (log.at(-1) !== lineFeed) stream.push(Uint8Array.of(lineFeed));
		stream.push(null);
	};
	cancel = clock.after(0, play);
	return stream;
}
