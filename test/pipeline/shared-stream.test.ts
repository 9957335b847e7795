import { expect, test } from "vitest";
import {
	createFrameHeader,
	type Picture,
	type PictureStream,
	type PictureStreamEvents,
} from "../../app/pipeline/picture-stream.ts";
import { createSharedStream } from "../../app/pipeline/shared-stream.ts";

/** The worker at its far end. */
function createScene() {
	const pushed: number[] = [];
	let started = 0;
	let ended = 0;
	let models = 0;
	let events: PictureStreamEvents | null = null;
	const shared = createSharedStream(new URL("file:///none"), (_, given): PictureStream => {
		started++;
		events = given;
		const id = (): number => ++models;
		return {
			addModel: id,
			addBaseline: id,
			addTrust: id,
			forget: () => undefined,
			push(header) {
				pushed.push(header.stream);
				return true;
			},
			dispose() {
				ended++;
				return Promise.resolve();
			},
		};
	});
	const seen: string[] = [];
	const listen = (name: string): PictureStreamEvents => ({
		onPicture: ({ stream }) => seen.push(`${name} ${stream}`),
		onFailure: (detail) => seen.push(`${name} ${detail}`),
	});
	return {
		shared,
		pushed,
		seen,
		listen,
		started: () => started,
		ended: () => ended,
		give: (stream: number) => events!.onPicture({ stream } as Picture),
		fail: () => events!.onFailure("gone"),
	};
}

test("several use one worker, with numbers that no two share, and see their own pictures", async () => {
	const { shared, pushed, seen, listen, started, ended, give } = createScene();
	expect(started()).toBe(0);
	const one = shared.open(listen("one"));
	const two = shared.open(listen("two"));
	expect(started()).toBe(1);
	expect(one.addModel({} as never)).not.toBe(two.addModel({} as never));
	one.push(createFrameHeader(7), new Float64Array(1), 1);
	two.push(createFrameHeader(7), new Float64Array(1), 1);
	expect(new Set(pushed).size).toBe(2);
	for (const stream of pushed) give(stream);
	expect(seen).toEqual([`one ${pushed[0]}`, `two ${pushed[1]}`]);
	await one.dispose();
	give(pushed[0]!);
	expect(seen).toHaveLength(2);
	expect(ended()).toBe(0);
	await shared.dispose();
	expect(ended()).toBe(1);
});

test("all are told that the worker is gone", () => {
	const { shared, seen, listen, fail } = createScene();
	shared.open(listen("one"));
	shared.open(listen("two"));
	fail();
	expect(seen).toEqual(["one gone", "two gone"]);
});
