/** One picture worker for several users, none of whom sees another's pictures. It is started for the first one. */
import {
	createPictureStream,
	type Picture,
	type PictureStream,
	type PictureStreamEvents,
} from "./picture-stream.ts";

export interface SharedStream {
	/** A stream of one's own on the worker: it sets `FrameHeader.stream`, and numbers of models are unique among all.
	 *  `dispose` lets go of it alone. */
	open(events: PictureStreamEvents): PictureStream;
	/** Ends the worker. Safe twice. */
	dispose(): Promise<void>;
}

export function createSharedStream(
	workerFile: URL,
	createStream: typeof createPictureStream = createPictureStream,
): SharedStream {
	const users = new Map<number, PictureStreamEvents>();
	let stream: PictureStream | null = null;
	let numbers = 0;

	function onPicture(picture: Picture): void {
		users.get(picture.stream)?.onPicture(picture);
	}

	function onFailure(detail: string): void {
		for (const user of users.values()) user.onFailure(detail);
	}

	return {
		open(events) {
			stream ??= createStream(workerFile, { onPicture, onFailure });
			const worker = stream;
			numbers++;
			const own = numbers;
			users.set(own, events);
			return {
				addModel: (model) => worker.addModel(model),
				addBaseline: (values) => worker.addBaseline(values),
				addTrust: (kept) => worker.addTrust(kept),
				forget: (id) => worker.forget(id),
				push(header, values, scale) {
					header.stream = own;
					return worker.push(header, values, scale);
				},
				dispose() {
					users.delete(own);
					return Promise.resolve();
				},
			};
		},
		async dispose() {
			users.clear();
			await stream?.dispose();
		},
	};
}
