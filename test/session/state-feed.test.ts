import { expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { createStateFeed } from "../../app/session/state-feed.ts";
import { createFakeClock } from "./fake-clock.ts";

function createFeed() {
	const clock = createFakeClock();
	let made = 0;
	const feed = createStateFeed(() => {
		made++;
		return { appVersion: String(made) } as AppState;
	}, clock);
	const seen: string[] = [];
	feed.subscribe((state) => seen.push(state.appVersion));
	return { clock, feed, seen, made: () => made };
}

test("tells a change at once and any number of changes after it together", () => {
	const { clock, feed, seen } = createFeed();
	feed.changed();
	feed.changed();
	clock.turn(0);
	expect(seen).toEqual(["1"]);
	for (let i = 0; i < 50; i++) {
		feed.changed();
		clock.turn(1);
	}
	expect(seen).toEqual(["1"]);
	clock.turn(50);
	expect(seen).toEqual(["1", "2"]);
});

test("tells at most ten changes a second and never forgets the last", () => {
	const { clock, feed, seen, made } = createFeed();
	for (let i = 0; i < 1000; i++) {
		feed.changed();
		clock.turn(1);
	}
	expect(seen.length).toBeLessThanOrEqual(11);
	clock.turn(100);
	expect(seen.at(-1)).toBe(String(made()));
	const count = seen.length;
	clock.turn(10_000);
	expect(seen).toHaveLength(count);
});

test("keeps one value until something changes", () => {
	const { feed } = createFeed();
	expect(feed.state()).toBe(feed.state());
	const before = feed.state();
	feed.changed();
	expect(feed.state()).not.toBe(before);
});

test("goes on when the machine's clock is set back", () => {
	const clock = createFakeClock();
	let offset = 0;
	const feed = createStateFeed(() => ({}) as AppState, { ...clock, now: () => clock.now() + offset });
	let told = 0;
	feed.subscribe(() => told++);
	feed.changed();
	clock.turn(0);
	offset = -3_600_000;
	feed.changed();
	clock.turn(100);
	expect(told).toBe(2);
});

test("says nothing after its end", () => {
	const { clock, feed, seen } = createFeed();
	feed.changed();
	feed.dispose();
	feed.changed();
	clock.turn(1000);
	expect(seen).toEqual([]);
	expect(clock.waiting).toBe(0);
});
