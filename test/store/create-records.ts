/** Invented records, for tests and the programs that tests start. */
import type { NewConfiguration, NewSession, TrendSeries } from "../../app/store/records.ts";
import type { Result } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";

export function unwrap<T>(result: Result<T, unknown>): T {
	if (!result.ok) throw new Error(`unexpected fault: ${JSON.stringify(result.error)}`);
	return result.value;
}

export function createConfiguration(change: Partial<NewConfiguration> = {}): NewConfiguration {
	const readingCount = change.readingCount ?? 208;
	return {
		configuration: 1,
		bandIndex: 0,
		electrodeCount: 16,
		drive: "adjacent",
		terminals: "four-terminal",
		readingCount,
		listedTerminals: null,
		currentMilliamp: 1,
		frequencyHertz: 50_000,
		gain: 10,
		voltsPerUnit: 1e-6,
		fullScale: 32_767,
		pattern: Uint16Array.from({ length: 4 * readingCount }, (_, i) => (i * 7) % 16),
		readingCurrentAmpere: null,
		...change,
	};
}

export const newSession: NewSession = {
	personId: null,
	limbId: null,
	bandId: null,
	title: "Quad sets",
	startedAt: "2026-03-01T10:00:00.000+01:00",
	board: {
		board: "bench",
		firmware: "1.2",
		serial: "0007",
		protocolVersion: 1,
		bandCount: 2,
		bootNumber: 5,
		simulated: true,
	},
	currentLimitMilliamp: 1,
	algorithmVersion: "test-1",
	prior: "diagonal",
	rule: "noise-figure",
};

export const series: TrendSeries = {
	bandIndex: 0,
	algorithmVersion: "test-1",
	prior: "diagonal",
	rule: "noise-figure",
	lambdaByHand: 0.25,
	allowsMovement: true,
	lambda: 0.25,
	noiseFigure: 0.5,
	unit: "S/m",
	regions: [
		{ id: "rectus-femoris", name: "Rectus femoris" },
		{ id: "vastus-medialis", name: "Vastus medialis" },
	],
};

/** Readings that tell which frame they belong to. */
export function readingsOf(index: number, readingCount = 208): Float64Array {
	return Float64Array.from({ length: readingCount }, (_, i) => ((index * 31 + i * 17) % 65_535) - 32_767);
}

export function createFrame(index: number, change: Partial<Frame> = {}): Frame {
	return {
		bandIndex: 0,
		sequence: index,
		timeMicros: 1_000_000 + index * 33_333,
		configuration: 1,
		values: readingsOf(index),
		...change,
	};
}
