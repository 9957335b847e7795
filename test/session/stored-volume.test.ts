import { describe, expect, test } from "vitest";
import type { PictureStream } from "../../app/pipeline/picture-stream.ts";
import { createLeftOutHistory } from "../../app/session/left-out-history.ts";
import {
	createStoredVolume,
	type StoredVolume,
	type StoredVolumeParts,
} from "../../app/session/stored-volume.ts";
import { bandPlacesEvent } from "../../app/store/band-places-record.ts";
import { leftOutEvent } from "../../app/store/left-out-record.ts";
import type {
	SessionDetail,
	SessionEvent,
	StoredBaseline,
	StoredConfiguration,
	StoredFrame,
} from "../../app/store/records.ts";
import { leaveOut } from "../../core/signal/left-out.ts";
import { unwrap } from "../store/create-records.ts";

const terminals = Uint16Array.of(0, 1, 2, 3, 1, 2, 3, 4);
const places = [
	{ aboveKnee: 0.2, circumference: 0.5 },
	{ aboveKnee: 0.13, circumference: 0.46 },
];

/** 1 V for each unit at 1 mA: 1000 Ω. */
function createConfiguration(
	bandIndex: number,
	part: Partial<StoredConfiguration> = {},
): StoredConfiguration {
	return {
		id: bandIndex + 1,
		bandIndex,
		configuration: bandIndex + 1,
		electrodeCount: 8,
		drive: "listed",
		terminals: "four-terminal",
		readingCount: 2,
		listedTerminals: terminals,
		pattern: terminals,
		readingCurrentAmpere: null,
		currentMilliamp: 1,
		frequencyHertz: 50_000,
		gain: 1,
		voltsPerUnit: 1,
		fullScale: 0,
		...part,
	};
}

function createRest(bandIndex: number, fromOrdinal: number, value: number): StoredBaseline {
	return {
		bandIndex,
		fromOrdinal,
		takenAt: "2026-03-01T10:00:00.000+01:00",
		seconds: 2,
		frameCount: 60,
		automatic: false,
		configuration: bandIndex + 1,
		configurationId: bandIndex + 1,
		median: new Float64Array(2).fill(value),
		noise: new Float64Array(2).fill(0.001),
	};
}

function createFrame(bandIndex: number, ordinal: number, value: number, configurationId = bandIndex + 1) {
	return { bandIndex, ordinal, configurationId, values: new Float64Array(2).fill(value) } as StoredFrame;
}

function eventAt(
	ordinal: number,
	kind: SessionEvent["kind"],
	{ label, detail }: { label: string; detail: unknown },
): SessionEvent {
	return { kind, at: "2026-03-01T10:00:00.000+01:00", ordinal, label, detail };
}

interface SessionPart {
	readonly limb?: null;
	readonly simulated?: boolean;
	readonly bandCount?: number;
	readonly configurations?: readonly StoredConfiguration[];
	readonly baselines?: readonly StoredBaseline[];
	readonly events?: readonly SessionEvent[];
}

function createSession(part: SessionPart = {}): StoredVolumeParts {
	const { configurations = [createConfiguration(0), createConfiguration(1)] } = part;
	const detail = {
		summary: { id: 1, simulated: part.simulated ?? false },
		board: { bandCount: part.bandCount ?? 2 },
		limb:
			part.limb === null
				? null
				: { side: "left", outline: { type: "circle", radius: 0.08 }, fatThickness: 0.008, level: 0.5 },
		band: { name: "Eight", electrodeCount: 8 },
		configurations,
	} as unknown as SessionDetail;
	const events = part.events ?? [eventAt(0, "status", bandPlacesEvent(places))];
	const baselines = part.baselines ?? [createRest(0, 0, 1), createRest(1, 0, 2)];
	return { detail, baselines, events, history: createLeftOutHistory(detail, events) };
}

function open(part: SessionPart = {}): StoredVolume {
	return unwrap(createStoredVolume(createSession(part)));
}

/** What the picture worker was told. */
function createStream() {
	const told = new Map<number, Float64Array>();
	const add = (values: Float64Array): number => {
		told.set(told.size + 1, values);
		return told.size;
	};
	const forgotten: number[] = [];
	const stream: Pick<PictureStream, "addBaseline" | "addTrust" | "forget"> = {
		addBaseline: add,
		addTrust: add,
		forget: (id) => forgotten.push(id),
	};
	return { stream, told, forgotten };
}

const built = { modelRest: new Float64Array(4).fill(500), noisePerOhm: Float64Array.of(2) };

describe("the volume of a stored session", () => {
	test("is asked for with the session's own places, and all bands' readings one after another", () => {
		const { request, bands } = open();
		expect(bands).toEqual([0, 1]);
		expect(request.places).toEqual(places);
		expect([...request.terminals]).toEqual([...terminals, ...terminals.map((electrode) => electrode + 8)]);
	});

	test("knows where simulated bands sit, though older records do not tell", () => {
		expect(open({ simulated: true, events: [] }).request.places).toHaveLength(2);
	});

	test.each([
		["limb", { limb: null }],
		["bands", { bandCount: 3 }],
		["bands", { configurations: [] }],
		["places", { events: [] }],
		["places", { events: [eventAt(0, "status", bandPlacesEvent(places.slice(1)))] }],
		["rest", { baselines: [createRest(0, 0, 1)] }],
	] as const)("cannot be without its %s", (missing, part) => {
		expect(createStoredVolume(createSession(part))).toEqual({
			ok: false,
			error: { kind: "no-volume", missing },
		});
	});

	test("is of bands that are alike", () => {
		const configurations = [createConfiguration(0), createConfiguration(1, { electrodeCount: 16 })];
		expect(createStoredVolume(createSession({ configurations }))).toMatchObject({
			ok: false,
			error: { kind: "invalid-argument" },
		});
	});
});

describe("its frames", () => {
	test("are fitted to the model by their rests, each version in its time", () => {
		const { stream, told, forgotten } = createStream();
		const baselines = [createRest(0, 0, 1), createRest(1, 0, 2), createRest(1, 10, 4)];
		const frames = open({ baselines }).framesFor(built, stream);
		const early = frames.read([createFrame(0, 8, 1.1), createFrame(1, 9, 2)])!;
		expect([...early.values]).toEqual([550, 550, 500, 500].map((v) => expect.closeTo(v, 9) as number));
		expect([...told.get(early.baselineId)!]).toEqual([500, 500, 500, 500]);
		const late = frames.read([createFrame(0, 10, 1.1), createFrame(1, 11, 4.4)])!;
		expect([...late.values]).toEqual([550, 550, 550, 550].map((v) => expect.closeTo(v, 9) as number));
		expect(late.baselineId).not.toBe(early.baselineId);
		// back again, and nothing new is told
		expect(frames.read([createFrame(0, 2, 1), createFrame(1, 3, 2)])!.baselineId).toBe(early.baselineId);
		expect(told.size).toBe(2);
		frames.dispose();
		expect(forgotten).toEqual([early.baselineId, late.baselineId]);
	});

	test("do without what was left out, from then on", () => {
		const { stream, told } = createStream();
		const lost = leaveOut(
			{ terminals, electrodeCount: 8 },
			{
				electrodes: [{ electrode: 4, sign: "contact", isSinceRest: false }],
				readings: [],
				readingsAtRest: [],
			},
		);
		const events = [
			eventAt(0, "status", bandPlacesEvent(places)),
			eventAt(6, "left-out", leftOutEvent(1, null, lost)),
		];
		const frames = open({ events }).framesFor(built, stream);
		expect(frames.read([createFrame(0, 2, 1), createFrame(1, 3, 2)])!.trustId).toBe(0);
		const { trustId, leftOut } = frames.read([createFrame(0, 6, 1), createFrame(1, 7, 2)])!;
		expect([...told.get(trustId)!]).toEqual([1, 1, 1, 0]);
		expect(leftOut.map((one) => one?.electrodes.length ?? 0)).toEqual([0, 1]);
	});

	test("of settings that no rest was taken with give none, and the next ones do again", () => {
		const configurations = [
			createConfiguration(0),
			createConfiguration(1),
			createConfiguration(1, { id: 3, configuration: 3, gain: 8, voltsPerUnit: 0.125 }),
		];
		const frames = open({ configurations }).framesFor(built, createStream().stream);
		const known = [createFrame(0, 2, 1), createFrame(1, 3, 2)];
		const { baselineId } = frames.read(known)!;
		expect(frames.read([createFrame(0, 4, 1), createFrame(1, 5, 16, 3)])).toBeNull();
		expect(frames.read(known)!.baselineId).toBe(baselineId);
	});

	test("of a rest of the opposite sign give none, and the band is named", () => {
		const baselines = [createRest(0, 0, 1), createRest(1, 0, -2)];
		const frames = open({ baselines }).framesFor(built, createStream().stream);
		expect(frames.read([createFrame(0, 2, 1), createFrame(1, 3, -2)])).toBeNull();
		expect(frames.misfit).toBe(1);
	});
});
