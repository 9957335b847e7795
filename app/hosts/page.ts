/**
 * One open page, the same on every host: its requests go to the backend, the backend's state and pictures go to it.
 * A host only carries messages.
 */
import { z } from "zod";
import { failure } from "../../core/result.ts";
import { inheritPictureMarks, pictureSequence } from "../../core/wire/picture-packet.ts";
import { type RequestName, requestSchemas, type ToRenderer } from "../contract.ts";
import type { Backend } from "../session/backend.ts";

/** What a host lends a page for sending. */
export interface Pipe {
	post(message: ToRenderer): void;
	/** `bytes` belongs to the pipe until it calls `sent`. */
	postPicture(bytes: Uint8Array<ArrayBuffer>, sent: () => void): void;
}

export interface Page {
	/** Takes one message from the renderer. @returns false when it is none of ours: the host then closes the pipe. */
	receive(message: unknown): boolean;
	/** Aborts what the page still waits for. Safe twice. */
	dispose(): void;
}

/** A page that asks for more than this at once is broken. */
const REQUESTS_UNDER_WAY = 64;
/** One being drawn and one waiting for the next display frame; a third would only be late. */
const PICTURES_UNDER_WAY = 2;
const FORGOTTEN_AFTER_MS = 2000;

const toAppSchema = z.discriminatedUnion("type", [
	z.object({
		type: z.literal("request"),
		id: z.int().min(0),
		name: z.enum(Object.keys(requestSchemas) as [RequestName, ...RequestName[]]),
		argument: z.unknown(),
		records: z.int().min(0).optional(),
	}),
	z.object({ type: z.literal("abort"), id: z.int().min(0) }),
	z.object({ type: z.literal("drawn"), sequence: z.int().min(0).max(0xffffffff) }),
	z.object({ type: z.literal("watch"), what: z.enum(["sections", "volume"]) }),
]);

type RequestMessage = Extract<z.infer<typeof toAppSchema>, { readonly type: "request" }>;

/** `now`: ms on a clock that only goes forward. */
export function createPage(backend: Backend, pipe: Pipe, now: () => number = () => performance.now()): Page {
	const underWay = new Map<number, AbortController>();
	const pictures = createPictureQueue(pipe, now);
	const stopState = backend.onState((state) => pipe.post({ type: "state", state }));
	const stopPictures = backend.onPicture((packet, isVolume) => {
		if (isVolume === (stopWatching !== null)) pictures.offer(packet);
	});
	/** Null while the page shows sections. */
	let stopWatching: (() => void) | null = null;
	let disposed = false;
	pipe.post({ type: "state", state: backend.state() });

	async function answer({ id, name, argument, records }: RequestMessage): Promise<void> {
		const controller = new AbortController();
		underWay.set(id, controller);
		const reply = await backend.request(name, argument, controller.signal, records);
		underWay.delete(id);
		if (!disposed) pipe.post({ type: "reply", id, reply });
	}

	function watch(what: "sections" | "volume"): void {
		if ((what === "volume") === (stopWatching !== null)) return;
		stopWatching?.();
		stopWatching = what === "volume" ? backend.watchVolume() : null;
		pictures.forget();
	}

	return {
		receive(message) {
			if (disposed) return true;
			const parsed = toAppSchema.safeParse(message);
			if (!parsed.success) return false;
			const data = parsed.data;
			switch (data.type) {
				case "request":
					if (underWay.has(data.id)) return false;
					if (underWay.size >= REQUESTS_UNDER_WAY) {
						const detail = `more than ${REQUESTS_UNDER_WAY} requests under way`;
						pipe.post({ type: "reply", id: data.id, reply: failure({ kind: "internal", detail }) });
						return true;
					}
					void answer(data);
					return true;
				case "abort":
					underWay.get(data.id)?.abort();
					return true;
				case "drawn":
					pictures.drawn(data.sequence);
					return true;
				case "watch":
					watch(data.what);
					return true;
			}
		},
		dispose() {
			if (disposed) return;
			disposed = true;
			stopState();
			stopPictures();
			stopWatching?.();
			for (const controller of underWay.values()) controller.abort();
			underWay.clear();
		},
	};
}

interface PictureQueue {
	/** `packet` is valid during the call only. */
	offer(packet: ArrayBuffer): void;
	drawn(sequence: number): void;
	/** What is under way need not be drawn any more: other pictures come. */
	forget(): void;
}

/** A packet's bytes with the view that reads its header. */
interface Parcel {
	readonly bytes: Uint8Array<ArrayBuffer>;
	readonly view: DataView;
}

/** Keeps the newest picture and at most two undrawn ones under way. Copies into buffers of its own, which go round. */
function createPictureQueue(pipe: Pipe, now: () => number): PictureQueue {
	const spare: Parcel[] = [];
	/** Sequence numbers of undrawn pictures, oldest first. */
	const sequences: number[] = [];
	let newest: Parcel | null = null;
	let sentAt = 0;

	function fill(packet: ArrayBuffer): Parcel {
		const last = spare.pop();
		const parcel = last?.bytes.byteLength === packet.byteLength ? last : createParcel(packet.byteLength);
		parcel.bytes.set(new Uint8Array(packet));
		return parcel;
	}

	function giveBack(parcel: Parcel): void {
		if (spare.length <= PICTURES_UNDER_WAY) spare.push(parcel);
	}

	function send(parcel: Parcel): void {
		const sequence = pictureSequence(parcel.view);
		// The same frame again, by another model: the page tells of it once.
		if (sequences.at(-1) !== sequence) sequences.push(sequence);
		sentAt = now();
		pipe.postPicture(parcel.bytes, () => giveBack(parcel));
	}

	return {
		offer(packet) {
			const parcel = fill(packet);
			// A page that has not told for so long either sleeps or has missed one: it must not wait for ever.
			if (now() - sentAt > FORGOTTEN_AFTER_MS) sequences.length = 0;
			if (newest !== null) {
				inheritPictureMarks(parcel.view, newest.view);
				giveBack(newest);
				newest = null;
			}
			if (sequences.length < PICTURES_UNDER_WAY) send(parcel);
			else newest = parcel;
		},
		drawn(sequence) {
			// A page draws the newest it holds, so everything sent before that one is done with as well.
			const at = sequences.lastIndexOf(sequence);
			if (at < 0) return;
			sequences.splice(0, at + 1);
			if (newest !== null) {
				const parcel = newest;
				newest = null;
				send(parcel);
			}
		},
		forget() {
			sequences.length = 0;
			if (newest !== null) giveBack(newest);
			newest = null;
		},
	};
}

function createParcel(length: number): Parcel {
	const bytes = new Uint8Array(length);
	return { bytes, view: new DataView(bytes.buffer) };
}
