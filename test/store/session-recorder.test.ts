import { describe, expect, test } from "vitest";
import {
	appendFrames,
	createConfiguration,
	createFrame,
	createOpenStore,
	newSession,
	readingsOf,
	series,
	startRecorder,
	unwrap,
} from "./create-store.ts";

function stored(opened: ReturnType<typeof createOpenStore>, sessionId: number) {
	return unwrap(opened.store.readFrames(sessionId, 0, 10_000));
}

test("writes what waits within half a second, and nothing before", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	appendFrames(recorder, 3);
	expect(stored(opened, recorder.sessionId)).toHaveLength(0);
	opened.clock.pass(500);
	expect(stored(opened, recorder.sessionId)).toHaveLength(3);
});

test("gives frames back exactly as they came, with all that belongs to them", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	recorder.appendFrame(createFrame(0, { sequence: 0xffff_fffe }), 1e12 + 0.25, 0, 1);
	recorder.appendFrame(createFrame(1, { sequence: 0xffff_ffff }), 1e12 + 33, 4, 0.75);
	unwrap(recorder.close());
	expect(stored(opened, recorder.sessionId)).toEqual([
		{
			ordinal: 0,
			bandIndex: 0,
			sequence: 0xffff_fffe,
			timeMicros: 1_000_000,
			sessionMicros: 0,
			receivedAt: 1e12 + 0.25,
			lostBefore: 0,
			configurationId: 1,
			quality: 1,
			values: readingsOf(0),
		},
		{
			ordinal: 1,
			bandIndex: 0,
			sequence: 0xffff_ffff,
			timeMicros: 1_033_333,
			sessionMicros: 33_333,
			receivedAt: 1e12 + 33,
			lostBefore: 4,
			configurationId: 1,
			quality: 0.75,
			values: readingsOf(1),
		},
	]);
});

test("copies a frame during the call: the caller may use its memory again", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	const values = readingsOf(0);
	const means = Float32Array.of(1, 2);
	const ordinal = recorder.appendFrame(createFrame(0, { values }), 0, 0, 1);
	recorder.appendTrend(recorder.addSeries(series), ordinal, means);
	values.fill(0);
	means.fill(0);
	unwrap(recorder.close());
	expect(stored(opened, recorder.sessionId)[0]!.values).toEqual(readingsOf(0));
	expect(unwrap(opened.store.readTrends(recorder.sessionId, 0))[0]!.means).toEqual(Float32Array.of(1, 2));
});

test("tells the session's facts in the list and in detail", () => {
	const opened = createOpenStore();
	const { store } = opened;
	const person = unwrap(
		store.savePerson({ id: null, code: "P-01", displayName: null, affectedSide: "right" }),
	);
	const limb = {
		side: "right",
		outline: { type: "circle", radius: 0.08 },
		fatThickness: 0.01,
		level: 0.4,
	} as const;
	const band = {
		name: "Band",
		electrodeCount: 16,
		electrodeWidth: 0.02,
		firstElectrodeDegrees: 10,
		direction: "clockwise",
		positions: null,
	} as const;
	const recorder = unwrap(
		store.startSession({
			...newSession,
			personId: person.id,
			limbId: unwrap(store.saveLimb(person.id, limb)),
			bandId: unwrap(store.saveBand(band)),
		}),
	);
	const configuration = createConfiguration();
	recorder.addConfiguration(configuration);
	appendFrames(recorder, 31);
	recorder.setCounters({ lost: 2, bad: { checksum: 3, "too-long": 1 } });
	unwrap(recorder.close());
	const summary = {
		id: recorder.sessionId,
		personId: person.id,
		personCode: "P-01",
		title: "Quad sets",
		notes: "",
		startedAt: "2026-03-01T10:00:00.000+01:00",
		durationSeconds: 0.99999,
		frameCount: 31,
		lostCount: 2,
		badCount: 4,
		simulated: true,
		origin: "live",
		side: "right",
		closedCleanly: true,
	};
	expect(unwrap(store.listSessions({ personId: null, offset: 0, limit: 10 }))).toEqual({
		total: 1,
		sessions: [summary],
	});
	const detail = unwrap(store.session(recorder.sessionId));
	expect(detail).toMatchObject({
		summary,
		appVersion: "0.0.0-test",
		algorithmVersion: "test-1",
		prior: "diagonal",
		rule: "noise-figure",
		badByCause: { checksum: 3, "too-long": 1 },
		board: newSession.board,
		currentLimitMilliamp: 1,
		limb,
		band,
		setup: null,
		configurations: [{ ...configuration, id: 1 }],
	});
	expect(Date.parse(detail.endedAt!)).toBe(opened.clock.time);
	expect(unwrap(store.listPeople())[0]!.sessionCount).toBe(1);
});

test("lists sessions newest first, by person and by page", () => {
	const { store } = createOpenStore();
	const person = unwrap(store.savePerson({ id: null, code: "A", displayName: null, affectedSide: "none" }));
	const ids = [null, person.id, null, person.id, null].map((personId) => {
		const recorder = unwrap(store.startSession({ ...newSession, personId }));
		unwrap(recorder.close());
		return recorder.sessionId;
	});
	const list = (personId: number | null, offset: number, limit: number) => {
		const { total, sessions } = unwrap(store.listSessions({ personId, offset, limit }));
		return [total, sessions.map((session) => session.id)];
	};
	expect(list(null, 0, 2)).toEqual([5, [ids[4], ids[3]]]);
	expect(list(null, 4, 2)).toEqual([5, [ids[0]]]);
	expect(list(person.id, 0, 10)).toEqual([2, [ids[3], ids[1]]]);
	expect(list(9999, 0, 10)).toEqual([0, []]);
});

test("saves title and notes, and tells a session that is not there", () => {
	const { store } = createOpenStore();
	const recorder = startRecorder(store);
	unwrap(recorder.close());
	const notes = { sessionId: recorder.sessionId, title: "Second", notes: "felt\nfine" };
	unwrap(store.saveSessionNotes(notes));
	expect(unwrap(store.session(recorder.sessionId)).summary).toMatchObject({
		title: "Second",
		notes: "felt\nfine",
	});
	const missing = { ok: false, error: { kind: "no-such-record", what: "session", id: 9 } };
	expect(store.saveSessionNotes({ ...notes, sessionId: 9 })).toEqual(missing);
	expect(store.session(9)).toEqual(missing);
});

describe("configurations", () => {
	test("told again unchanged is kept once; changed under the same number becomes another", () => {
		const opened = createOpenStore();
		const recorder = startRecorder(opened.store);
		appendFrames(recorder, 1);
		recorder.addConfiguration(createConfiguration());
		recorder.appendFrame(createFrame(1), 0, 0, 1);
		recorder.addConfiguration(createConfiguration({ gain: 5 }));
		recorder.appendFrame(createFrame(2), 0, 0, 1);
		unwrap(recorder.close());
		expect(stored(opened, recorder.sessionId).map((frame) => frame.configurationId)).toEqual([1, 1, 2]);
		const { configurations } = unwrap(opened.store.session(recorder.sessionId));
		expect(configurations.map((one) => [one.id, one.configuration, one.gain])).toEqual([
			[1, 1, 10],
			[2, 1, 5],
		]);
	});

	test("a frame of one that was never told is our own mistake", () => {
		const opened = createOpenStore();
		const recorder = startRecorder(opened.store);
		expect(() => recorder.appendFrame(createFrame(0, { bandIndex: 1 }), 0, 0, 1)).toThrow(RangeError);
		expect(() => recorder.appendFrame(createFrame(0, { configuration: 2 }), 0, 0, 1)).toThrow(RangeError);
	});

	test("keeps a listed pattern and currents that differ by reading", () => {
		const opened = createOpenStore();
		const recorder = unwrap(opened.store.startSession(newSession));
		// the second reading is between electrodes 3 and 4 of the board's second band
		const pattern = Uint16Array.of(0, 1, 2, 3, 1, 2, 131, 132);
		const readingCurrentAmpere = Float64Array.of(1.472, 1.4952);
		const listed = createConfiguration({
			drive: "listed",
			readingCount: 2,
			pattern,
			listedTerminals: pattern,
			readingCurrentAmpere,
		});
		recorder.addConfiguration(listed);
		unwrap(recorder.close());
		expect(unwrap(opened.store.session(recorder.sessionId)).configurations).toEqual([{ ...listed, id: 1 }]);
	});
});

test("keeps baselines, events, contacts and region means with the frame they belong to", () => {
	const opened = createOpenStore();
	const { store, clock } = opened;
	const recorder = startRecorder(store);
	const baseline = {
		bandIndex: 0,
		fromOrdinal: 0,
		takenAt: "2026-03-01T09:59:58.000+01:00",
		seconds: 3,
		frameCount: 90,
		automatic: true,
		configuration: 1,
		median: readingsOf(5),
		noise: Float64Array.from({ length: 208 }, (_, i) => 1 / (i + 1)),
	};
	recorder.appendBaseline(baseline);
	const first = recorder.addSeries(series);
	appendFrames(recorder, 2);
	recorder.appendTrend(first, 0, Float32Array.of(0.001, -0.002));
	recorder.appendTrend(first, 1, Float32Array.of(0.003, Number.NaN));
	clock.pass(400);
	appendFrames(recorder, 1);
	recorder.appendTrend(first, 2, Float32Array.of(0.5, 0.25));
	recorder.appendEvent("mark", "first hold", { exercise: "quad set" });
	recorder.appendEvent("status", "battery", undefined);
	recorder.appendContacts(0, Float64Array.of(250, Number.NaN, 400));
	recorder.appendBaseline({ ...baseline, fromOrdinal: 3, automatic: false });
	const second = recorder.addSeries({ ...series, lambda: 0.5 });
	appendFrames(recorder, 1);
	recorder.appendTrend(second, 3, Float32Array.of(7, 8));
	unwrap(recorder.close());

	const { sessionId } = recorder;
	expect(unwrap(store.readBaselines(sessionId))).toEqual([
		{ ...baseline, configurationId: 1 },
		{ ...baseline, configurationId: 1, fromOrdinal: 3, automatic: false },
	]);
	expect(unwrap(store.readEvents(sessionId))).toMatchObject([
		{ kind: "mark", ordinal: 3, label: "first hold", detail: { exercise: "quad set" } },
		{ kind: "status", ordinal: 3, label: "battery", detail: null },
	]);
	expect(unwrap(store.readContacts(sessionId))).toMatchObject([
		{ bandIndex: 0, ordinal: 3, ohm: Float64Array.of(250, Number.NaN, 400) },
	]);
	expect(unwrap(store.readTrends(sessionId, 0))).toEqual([
		{
			series: { ...series, id: 1 },
			ordinals: Uint32Array.of(0, 1, 2),
			seconds: Float64Array.of(0, 0.033333, 0.066666),
			means: Float32Array.of(0.001, -0.002, 0.003, Number.NaN, 0.5, 0.25),
		},
		{
			series: { ...series, lambda: 0.5, id: 2 },
			ordinals: Uint32Array.of(3),
			seconds: Float64Array.of(0.099999),
			means: Float32Array.of(7, 8),
		},
	]);
	expect(unwrap(store.readTrends(sessionId, 1))).toEqual([]);
});

test("a baseline taken again before another frame came takes the first one's place", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	const baseline = {
		bandIndex: 0,
		fromOrdinal: 0,
		takenAt: "2026-03-01T10:00:00+01:00",
		seconds: 3,
		frameCount: 90,
		automatic: true,
		configuration: 1,
		median: readingsOf(5),
		noise: readingsOf(6),
	};
	recorder.appendBaseline(baseline);
	recorder.appendBaseline({ ...baseline, seconds: 5 });
	unwrap(recorder.close());
	expect(unwrap(opened.store.readBaselines(recorder.sessionId)).map((one) => one.seconds)).toEqual([5]);
});

test("finds the first frame at or after a time", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	appendFrames(recorder, 100);
	unwrap(recorder.close());
	const at = (micros: number) => unwrap(opened.store.ordinalAt(recorder.sessionId, micros));
	expect([0, 1, 33_333, 33_334, 99 * 33_333, 1e9].map(at)).toEqual([0, 1, 1, 2, 99, 100]);
});

test("reads frames in pieces of the size asked for", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	appendFrames(recorder, 25);
	unwrap(recorder.close());
	const ordinals = (from: number, limit: number) =>
		unwrap(opened.store.readFrames(recorder.sessionId, from, limit)).map((frame) => frame.ordinal);
	expect(ordinals(0, 10)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
	expect(ordinals(20, 10)).toEqual([20, 21, 22, 23, 24]);
	expect(ordinals(25, 10)).toEqual([]);
});

describe("our own mistakes are loud", () => {
	test("a quality that is no share, a time that is no number of microseconds", () => {
		const recorder = startRecorder(createOpenStore().store);
		expect(() => recorder.appendFrame(createFrame(0), 0, 0, 1.1)).toThrow(RangeError);
		expect(() => recorder.appendFrame(createFrame(0), 0, 0, Number.NaN)).toThrow(RangeError);
		expect(() => recorder.appendFrame(createFrame(0, { timeMicros: 0.5 }), 0, 0, 1)).toThrow(RangeError);
		expect(recorder.frames).toBe(0);
	});

	test("region means for a frame or series that is not there, or of another length", () => {
		const recorder = startRecorder(createOpenStore().store);
		appendFrames(recorder, 1);
		const id = recorder.addSeries(series);
		expect(() => recorder.appendTrend(id, 1, Float32Array.of(1, 2))).toThrow(RangeError);
		expect(() => recorder.appendTrend(id + 1, 0, Float32Array.of(1, 2))).toThrow(RangeError);
		expect(() => recorder.appendTrend(id, 0, Float32Array.of(1))).toThrow(RangeError);
	});

	test("anything after the end", () => {
		const recorder = startRecorder(createOpenStore().store);
		unwrap(recorder.close());
		expect(() => recorder.appendFrame(createFrame(0), 0, 0, 1)).toThrow(TypeError);
		expect(() => recorder.appendEvent("mark", "late", null)).toThrow(TypeError);
	});
});

test("closing twice, and disposing the store, leaves no timer behind", () => {
	const { store, clock } = createOpenStore();
	const first = startRecorder(store);
	const second = startRecorder(store);
	expect(clock.running).toBe(2);
	unwrap(first.close());
	unwrap(first.close());
	expect(clock.running).toBe(1);
	appendFrames(second, 3);
	store.dispose();
	store.dispose();
	expect(clock.running).toBe(0);
});

test("what waits when the store is disposed is written and the session closed", () => {
	const opened = createOpenStore();
	const recorder = startRecorder(opened.store);
	appendFrames(recorder, 3);
	opened.store.dispose();
	const again = createOpenStore(opened.path);
	expect(unwrap(again.store.session(recorder.sessionId)).summary).toMatchObject({
		frameCount: 3,
		closedCleanly: true,
	});
});
