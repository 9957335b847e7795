import { expect, test } from "vitest";
import type { ImportedSession } from "../../app/store/records.ts";
import { createConfiguration, createOpenStore, unwrap } from "./create-store.ts";

function createImport(): ImportedSession {
	const pattern = Uint16Array.of(0, 1, 2, 3, 1, 2, 3, 0);
	return {
		personId: null,
		title: "Tank",
		notes: "invented for this test",
		startedAt: "2026-03-01T10:00:00.000+01:00",
		simulated: false,
		algorithmVersion: "test-1",
		prior: "laplace",
		rule: "gcv",
		setup: { outline: { type: "circle", radius: 0.14 } },
		configurations: [
			createConfiguration({
				configuration: 0,
				drive: "listed",
				readingCount: 2,
				pattern,
				listedTerminals: pattern,
				voltsPerUnit: 1,
			}),
		],
		frames: [0, 1, 2].map((index) => ({
			bandIndex: 0,
			configuration: 0,
			timeMicros: index * 1_000_000,
			values: Float64Array.of(-0.09460946 - index, 1 / 3),
			quality: index === 2 ? 0.5 : 1,
			label: index === 1 ? "1.1" : null,
			detail: { targets: [] },
		})),
		baselines: [0, 2].map((fromOrdinal) => ({
			bandIndex: 0,
			fromOrdinal,
			takenAt: "2026-03-01T10:00:00.000+01:00",
			seconds: 0,
			frameCount: 1,
			automatic: false,
			configuration: 0,
			median: Float64Array.of(fromOrdinal, 1),
			noise: Float64Array.of(1e-5, 1e-5),
		})),
		events: [{ kind: "left-out", ordinal: 2, label: "Electrode 4 is left out", detail: { bandIndex: 0 } }],
	};
}

test("stores a recording from a file with its own set-up, frames, marks and rests", () => {
	const { store } = createOpenStore();
	const given = createImport();
	const id = unwrap(store.importSession(given));
	const detail = unwrap(store.session(id));
	expect(detail).toMatchObject({
		summary: {
			title: "Tank",
			notes: "invented for this test",
			origin: "imported",
			simulated: false,
			frameCount: 3,
			durationSeconds: 2,
			closedCleanly: true,
			side: null,
		},
		board: null,
		setup: given.setup,
		prior: "laplace",
		rule: "gcv",
		configurations: [{ ...given.configurations[0], id: 1 }],
	});
	expect(unwrap(store.readFrames(id, 0, 10)).map((frame) => frame.values)).toEqual(
		given.frames.map((frame) => frame.values),
	);
	expect(unwrap(store.readFrames(id, 0, 10)).map((frame) => frame.quality)).toEqual([1, 1, 0.5]);
	expect(unwrap(store.readBaselines(id))).toEqual(
		given.baselines.map((baseline) => ({ ...baseline, configurationId: 1 })),
	);
	expect(unwrap(store.readEvents(id))).toMatchObject([
		{ kind: "mark", ordinal: 1, label: "1.1", detail: { targets: [] } },
		{ ...given.events[0], at: given.startedAt },
	]);
});

test("stores nothing of a recording whose frame does not fit its pattern", () => {
	const { store } = createOpenStore();
	const given = createImport();
	const frames = [...given.frames, { ...given.frames[0]!, values: Float64Array.of(1, 2, 3) }];
	expect(() => store.importSession({ ...given, frames })).toThrow(RangeError);
	expect(unwrap(store.listSessions({ personId: null, offset: 0, limit: 10 })).total).toBe(0);
});
