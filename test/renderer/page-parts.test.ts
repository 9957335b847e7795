import { describe, expect, test } from "vitest";
import { createFrameLoop } from "../../renderer/draw/frame-loop.ts";
import { createLatencyLog } from "../../renderer/draw/latency.ts";
import { createPreferences, readPreferences } from "../../renderer/preferences.ts";
import { hashOf, readRoute } from "../../renderer/route.ts";

describe("the frame loop", () => {
	function createLoop() {
		const requested: ((now: number) => void)[] = [];
		const loop = createFrameLoop((callback) => requested.push(callback));
		return { loop, requested, runFrame: () => requested.shift()?.(0) };
	}

	test("gives one frame for any number of asks, and none without", () => {
		const { loop, requested, runFrame } = createLoop();
		let draws = 0;
		const drawer = {
			draw: () => {
				draws++;
				return false;
			},
		};
		const first = loop.add(drawer);
		const second = loop.add(drawer);
		expect(requested).toHaveLength(0);
		first.ask();
		first.ask();
		second.ask();
		expect(requested).toHaveLength(1);
		runFrame();
		expect(draws).toBe(2);
		expect(requested).toHaveLength(0);
	});

	test("comes back when asked while drawing, or when a drawer was too early", () => {
		const { loop, requested, runFrame } = createLoop();
		let isEarly = true;
		const handle = loop.add({ draw: () => isEarly });
		handle.ask();
		runFrame();
		expect(requested).toHaveLength(1);
		isEarly = false;
		runFrame();
		expect(requested).toHaveLength(0);
	});

	test("does not draw what was disposed", () => {
		const { loop, runFrame } = createLoop();
		let draws = 0;
		const handle = loop.add({
			draw: () => {
				draws++;
				return false;
			},
		});
		handle.ask();
		handle.dispose();
		handle.dispose();
		runFrame();
		expect(draws).toBe(0);
	});
});

describe("latencies", () => {
	test("quantiles are by nearest rank over the last ones", () => {
		const log = createLatencyLog(100);
		for (let i = 1; i <= 250; i++) log.record(i);
		expect(log.count).toBe(250);
		expect(log.recent()[0]).toBe(151);
		expect(log.quantile(0.5)).toBe(200);
		expect(log.quantile(0.99)).toBe(249);
		expect(log.quantile(1)).toBe(250);
		log.clear();
		expect(log.quantile(0.5)).toBeNaN();
	});
});

describe("preferences", () => {
	test("come back after a reload", () => {
		const kept = new Map<string, string>();
		const storage = {
			getItem: (key: string) => kept.get(key) ?? null,
			setItem: (key: string, value: string) => void kept.set(key, value),
		};
		createPreferences(storage).change({ theme: "dark", trendWindow: 10 });
		expect(createPreferences(storage).value).toMatchObject({
			theme: "dark",
			trendWindow: 10,
			scale: "change",
		});
	});

	test.each([null, "", "{", "[]", "null", '{"theme":"pink","trendWindow":7,"mirrored":"yes"}'])(
		"that cannot be read fall back: %j",
		(text) => {
			expect(readPreferences(text)).toEqual(readPreferences(null));
		},
	);

	test("keep what is good beside what is not", () => {
		expect(readPreferences('{"theme":"pink","scale":"size"}')).toMatchObject({
			theme: "system",
			scale: "size",
		});
	});
});

describe("routes", () => {
	test.each(["live", "sessions", "set-up", "connect", "about"] as const)(
		"%s goes through the address",
		(screen) => {
			expect(readRoute(hashOf({ screen }))).toEqual({ screen });
		},
	);

	test.each([
		{ name: null, isCopy: false },
		{ name: "Board / 50 % √ü", isCopy: false },
		{ name: "../x#?", isCopy: true },
	])("leads to a board profile by its name and back: %j", (part) => {
		const route = { screen: "profile", ...part } as const;
		expect(readRoute(hashOf(route))).toEqual(route);
	});

	test("takes a name that is no text for a new profile", () => {
		expect(readRoute("#/profile/edit/%E0%A4%A")).toEqual({ screen: "profile", name: null, isCopy: false });
	});

	test("a replay names its session", () => {
		expect(readRoute(hashOf({ screen: "replay", sessionId: 12 }))).toEqual({
			screen: "replay",
			sessionId: 12,
		});
	});

	test.each(["person", "plan", "reference", "exercise", "set-up"] as const)(
		"%s names its person",
		(screen) => {
			const hash = hashOf({ screen, personId: 7 });
			expect(hash).toBe(`#/${screen}/7`);
			expect(readRoute(hash)).toEqual({ screen, personId: 7 });
		},
	);

	test.each([
		"",
		"#",
		"#/nowhere",
		"#/sessions/0",
		"#/sessions/1x",
		"#/sessions/99999999999999999999",
		"#/person",
		"#/live/3",
	])("%j is the live screen", (hash) => {
		expect(readRoute(hash)).toEqual({ screen: "live" });
	});
});
