import { beforeAll, describe, expect, test } from "vitest";
import { SimulatedBoard } from "../../app/link/simulated/board.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { damageLine } from "../../app/link/simulated/damage.ts";
import { type MuscleId, muscleIds } from "../../app/link/simulated/exercises.ts";
import { Random } from "../../app/link/simulated/random.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import type { WornLimb } from "../../app/link/simulated/worn-limb.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";
import { acknowledgementLine } from "../../core/wire/board-lines.ts";
import { encodeHostCommand, type HostCommand } from "../../core/wire/host-command.ts";
import { LineFields } from "../../core/wire/line-fields.ts";
import { badLineCount, bytesOf, createLoggingParser, type LoggedRecord } from "../wire/record-log.ts";

const options: SimulatedBoardOptions = {
	seed: 11,
	framesPerSecond: 20,
	bandCount: 1,
	electrodeCount: 16,
	scenario: "quad-sets",
	corruptShare: 0,
	dropShare: 0,
};
let limbs: readonly WornLimb[];
beforeAll(() => {
	limbs = createLimbs(options);
});

function createBoard(changes: Partial<SimulatedBoardOptions> = {}) {
	const truths: FrameTruth[] = [];
	const { parser, records } = createLoggingParser();
	const bytes: Uint8Array[] = [];
	const board = new SimulatedBoard({ ...options, ...changes }, limbs, {
		line(line) {
			bytes.push(line);
			parser.parse(line.subarray(0, -1));
			return true;
		},
		truth: (truth) => truths.push(truth),
	});
	let id = 0;
	const ask = (command: HostCommand): LoggedRecord => {
		board.receive(bytesOf(encodeHostCommand(++id, command).slice(0, -1)));
		return records.findLast((record) => record.record === "reply" && record.id === id)!;
	};
	const frames = () => records.filter((record) => record.record === "frame");
	return { board, parser, records, truths, bytes, ask, frames };
}

const start: HostCommand = { command: "start", bandIndex: null };

/** Runs on as a host would that says every second that it is there. */
function run({ board, ask }: ReturnType<typeof createBoard>, seconds: number): void {
	const until = board.seconds + seconds;
	while (board.seconds < until) {
		board.advanceTo(Math.min(until, board.seconds + 1));
		ask({ command: "alive" });
	}
}

describe("a simulated board", () => {
	test("announces itself as simulated and drives nothing until it is started", () => {
		const created = createBoard();
		created.board.advanceTo(3);
		const { records, truths } = created;
		expect(records[0]).toMatchObject({ record: "hello", simulated: true, bandCount: 1 });
		expect(records[2]).toMatchObject({
			record: "configuration",
			drive: "adjacent",
			readingCount: 208,
			currentMilliamp: 1,
			frequencyHertz: 50_000,
		});
		expect(records.filter((record) => record.record === "status").length).toBe(4);
		expect(truths).toEqual([]);
		expect(created.ask(start)).toMatchObject({ refusal: null });
		run(created, 2);
		expect(created.frames().length).toBe(40);
		expect(created.frames().map((frame) => frame.sequence)).toEqual(Array.from({ length: 40 }, (_, i) => i));
	});

	test("the same options, times and commands give the same bytes", () => {
		const say = (seed: number) => {
			const created = createBoard({ seed, corruptShare: 0.1, dropShare: 0.05 });
			created.board.advanceTo(0.5);
			created.ask(start);
			run(created, 5);
			return Buffer.concat(created.bytes);
		};
		expect(say(4).equals(say(4))).toBe(true);
		expect(say(4).equals(say(5))).toBe(false);
	});

	test("small steps of time give the same bytes as large ones", () => {
		const say = (step: number) => {
			const created = createBoard({ streamsAtOnce: true });
			for (let time = 0; time <= 4; time += step) created.board.advanceTo(time);
			return Buffer.concat(created.bytes);
		};
		expect(say(0.0625).equals(say(1))).toBe(true);
	});

	test("the truth beside each frame says what the scenario does", () => {
		const created = createBoard();
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 9);
		const { truths } = created;
		expect(truths.map((truth) => truth.sequence)).toEqual(created.frames().map((frame) => frame.sequence));
		const rest = truths.filter((truth) => truth.exercise === null && truth.sequence < 70);
		const hold = truths.filter(
			(truth) => truth.exercise !== null && truth.activation["vastus-medialis"] > 0.7,
		);
		expect(rest.length).toBeGreaterThan(60);
		expect(hold.length).toBeGreaterThan(50);
		const limb = limbs[0]!;
		for (const truth of hold) {
			for (const [m, id] of muscleIds.entries()) {
				const engaged = limb.fullChange[m]! * truth.activation[id];
				// Besides engagement: fluid up to 1.5 % and wander of 0.2 % of the conductivity at rest.
				expect(Math.abs(truth.change[id] - engaged)).toBeLessThan(0.025 * limb.restOfMuscles[m]!);
			}
		}
		// Full engagement: 8 to 12 % of the muscle's conductivity.
		const shares = limb.fullChange.map((change, m) => change / limb.restOfMuscles[m]!);
		expect(Math.min(...shares)).toBeGreaterThanOrEqual(0.08);
		expect(Math.max(...shares)).toBeLessThanOrEqual(0.12);
	});

	test("readings follow the truth: they fall where a muscle that conducts better lies between", () => {
		const created = createBoard({ signalToNoiseDecibel: 100 });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 9);
		const size = (frame: LoggedRecord) => Math.hypot(...(frame.values as number[]));
		const engagement = created.truths.map((truth) => sumOf(truth.change));
		expect(correlation(created.frames().map(size), engagement)).toBeLessThan(-0.98);
	});

	test("noise at rest is as many dB below large readings as was asked for", () => {
		const noises = [60, 80].map((signalToNoiseDecibel) => {
			const created = createBoard({ scenario: "rest", signalToNoiseDecibel, framesPerSecond: 60 });
			created.board.advanceTo(0);
			created.ask(start);
			run(created, 3);
			const values = created.frames().map((frame) => frame.values as number[]);
			return Array.from({ length: 208 }, (_, r) => signalToNoise(values.map((frame) => frame[r]!)));
		});
		for (const [i, decibel] of [60, 80].entries()) {
			// The reading next to the drive is well above the noise's floor; the smallest ones are not.
			expect(Math.max(...noises[i]!)).toBeGreaterThan(decibel - 3);
			expect(Math.max(...noises[i]!)).toBeLessThan(decibel + 3);
			expect(Math.min(...noises[i]!)).toBeLessThan(decibel - 5);
		}
	});

	test("begins with a gain that suits its largest reading", () => {
		const created = createBoard({ scenario: "rest" });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 1);
		const values = created.frames()[0]!.values as number[];
		const largest = Math.max(...values.map(Math.abs)) / (2 ** 23 - 1);
		// 50 to 80 % of full scale (common practice, no source).
		expect(largest).toBeGreaterThan(0.5);
		expect(largest).toBeLessThan(0.8);
	});

	test("reciprocal readings agree within what is good on skin", () => {
		const created = createBoard({ scenario: "rest" });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 1);
		const values = created.frames()[0]!.values as number[];
		const { first, second } = findReciprocalPairs(createPattern(16, "adjacent"));
		const errors = Array.from(first, (a, i) => {
			const [x, y] = [values[a]!, values[second[i]!]!];
			return (2 * Math.abs(x - y)) / (Math.abs(x) + Math.abs(y));
		});
		const sorted = errors.toSorted((a, b) => a - b);
		// At most 2 % is good on skin, and on a phantom below 1 % is expected (common practice, no source).
		expect(sorted[sorted.length >> 1]).toBeLessThan(0.01);
		expect(sorted[sorted.length >> 1]).toBeGreaterThan(0.0001);
	});

	test("settings are obeyed, announced under a new number, and told in the readings", () => {
		const created = createBoard({ scenario: "rest" });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 1);
		const before = created.frames().at(-1)!;
		expect(created.ask({ command: "current", bandIndex: null, microamp: 500 })).toMatchObject({
			refusal: null,
		});
		run(created, 1);
		const after = created.frames().at(-1)!;
		const configurations = created.records.filter((record) => record.record === "configuration");
		expect(configurations.map(({ currentMilliamp }) => currentMilliamp)).toEqual([1, 0.5]);
		expect(after.configuration).not.toBe(before.configuration);
		const ratio = (after.values as number[])[0]! / (before.values as number[])[0]!;
		expect(ratio).toBeCloseTo(0.5, 2);
		expect(created.ask({ command: "gain", bandIndex: 0, gain: 25 })).toMatchObject({ refusal: null });
		run(created, 1);
		const volts = (frame: LoggedRecord) => {
			const of = created.records.findLast(
				(record) => record.record === "configuration" && record.configuration === frame.configuration,
			)!;
			return (frame.values as number[])[0]! * (of.voltsPerUnit as number);
		};
		expect(volts(created.frames().at(-1)!) / volts(after)).toBeCloseTo(1, 2);
	});

	test.each<[string, HostCommand, string]>([
		["more current than it has", { command: "current", bandIndex: null, microamp: 2001 }, "out-of-range"],
		["a band that it does not have", { command: "start", bandIndex: 1 }, "out-of-range"],
		["a frequency outside its range", { command: "frequency", bandIndex: null, hertz: 9999 }, "out-of-range"],
		["too much gain", { command: "gain", bandIndex: null, gain: 201 }, "out-of-range"],
	])("refuses %s", (_, command, refusal) => {
		const created = createBoard();
		created.board.advanceTo(0);
		expect(created.ask(command)).toMatchObject({ refusal });
	});

	test("its own limit holds whatever order settings come in", () => {
		const created = createBoard();
		created.board.advanceTo(0);
		expect(created.ask({ command: "current", bandIndex: null, microamp: 2000 })).toMatchObject({
			refusal: null,
		});
		// 2 mA is within the standard's rule from 20 kHz on.
		expect(created.ask({ command: "frequency", bandIndex: null, hertz: 19_999 })).toMatchObject({
			refusal: "over-limit",
		});
		expect(created.ask({ command: "frequency", bandIndex: null, hertz: 20_000 })).toMatchObject({
			refusal: null,
		});
	});

	test("stops by itself when nobody talks to it for ten seconds", () => {
		const created = createBoard();
		created.board.advanceTo(0);
		created.ask(start);
		created.board.advanceTo(30);
		const last = created.truths.at(-1)!;
		expect(last.timeMicros / 1e6).toBeGreaterThan(9.9);
		expect(last.timeMicros / 1e6).toBeLessThan(11.1);
		expect(created.records.at(-1)).toMatchObject({ record: "status", activity: "stopped" });
	});

	test("damaged and dropped lines are told in the truth and found by the parser", () => {
		const created = createBoard({ corruptShare: 0.1, dropShare: 0.05 });
		created.board.advanceTo(0);
		for (let i = 0; created.truths.length === 0 && i < 20; i++) {
			created.ask(start);
			created.ask({ command: "hello" });
			created.board.advanceTo(created.board.seconds + 0.1);
		}
		run(created, 15);
		const { parser, truths } = created;
		const fates = { sent: 0, corrupted: 0, dropped: 0 };
		for (const truth of truths) fates[truth.line]++;
		expect(parser.counters.frames).toBe(fates.sent);
		expect(fates.corrupted / truths.length).toBeGreaterThan(0.05);
		expect(fates.dropped / truths.length).toBeGreaterThan(0.02);
		expect(badLineCount(parser)).toBeGreaterThanOrEqual(fates.corrupted);
		const received = created.frames();
		const span = (received.at(-1)!.sequence as number) - (received[0]!.sequence as number) + 1;
		expect(received.length + parser.counters.lost).toBe(span);
	});

	test("after a sleep of the computer frames are missing instead of late", () => {
		const created = createBoard();
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 1);
		created.board.skipTo(created.board.seconds + 1200);
		created.ask({ command: "alive" });
		run(created, 1);
		expect(created.parser.counters.lost).toBe(1200 * 20);
		expect(created.frames().length).toBe(40);
	});

	test("its 32-bit clock wraps without a trace", () => {
		const created = createBoard({ firstMicros: 2 ** 32 - 1_500_000 });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 3);
		const times = created.frames().map((frame) => frame.timeMicros as number);
		expect(times.every((time, i) => i === 0 || Math.abs(time - times[i - 1]! - 50_000) <= 1)).toBe(true);
		expect(created.parser.counters.lost).toBe(0);
	});

	test("a poor contact is told, collapses its drives, and leaves the others", () => {
		const created = createBoard({ scenario: "poor-contact", framesPerSecond: 5 });
		created.board.advanceTo(0);
		created.ask(start);
		run(created, 24);
		const truth = created.truths.at(-1)!;
		expect(truth.worstContactOhm).toBeGreaterThan(10_000);
		const contacts = created.records.findLast((record) => record.record === "contacts")!.ohm as number[];
		expect(contacts.indexOf(Math.max(...contacts))).toBe(truth.worstElectrode);
		const { terminals } = createPattern(16, "adjacent");
		const [first, last] = [created.frames()[0]!, created.frames().at(-1)!].map(
			(frame) => frame.values as number[],
		);
		for (let r = 0; r < 208; r++) {
			const isItsDrive =
				terminals[4 * r] === truth.worstElectrode || terminals[4 * r + 1] === truth.worstElectrode;
			const isItsReading =
				terminals[4 * r + 2] === truth.worstElectrode || terminals[4 * r + 3] === truth.worstElectrode;
			const ratio = last![r]! / first![r]!;
			if (isItsDrive) expect(ratio).toBeLessThan(0.5);
			else if (!isItsReading) expect(ratio).toBeGreaterThan(0.8);
		}
	});
});

describe("a band that slips", () => {
	test("reads the limb from elsewhere, smoothly, and on other skin", () => {
		const slipping = { ...options, electrodeCount: 8, scenario: "slippage" as const, framesPerSecond: 5 };
		const [limb] = createLimbs(slipping);
		const read = (slipMetre: number) => {
			const transfer = new Float64Array(64);
			limb!.transferInto(new Float64Array(muscleIds.length), limb!.restContact, slipMetre, transfer);
			return transfer;
		};
		const distance = (a: Float64Array, b: Float64Array) => Math.hypot(...a.map((value, i) => value - b[i]!));
		const [start0, half, whole] = [read(0), read(0.005), read(0.01)];
		expect(distance(start0, whole) / Math.hypot(...start0)).toBeGreaterThan(1e-3);
		// Between the positions that were solved it is in between.
		const between = start0.map((value, i) => (value + half[i]!) / 2);
		expect(distance(read(0.0025), between)).toBeLessThan(1e-9 * Math.hypot(...start0));

		const truths: FrameTruth[] = [];
		const { parser, records } = createLoggingParser();
		const board = new SimulatedBoard({ ...slipping, streamsAtOnce: true }, [limb!], {
			line(line) {
				parser.parse(line.subarray(0, -1));
				return true;
			},
			truth: (truth) => truths.push(truth),
		});
		board.advanceTo(44.5);
		expect(truths.at(-1)!.slipMillimetre).toBeCloseTo(10, 6);
		const contacts = records
			.filter((record) => record.record === "contacts")
			.map(({ ohm }) => ohm as number[]);
		const changes = contacts.at(-1)!.map((ohm, e) => Math.abs(ohm / contacts[7]![e]! - 1));
		// 30 % is when a change since the baseline is worth a warning (common practice, no source).
		expect(Math.max(...changes)).toBeGreaterThan(0.3);
	});
});

describe("damage", () => {
	test("leaves one line that is never whole and never empty", () => {
		const random = new Random(3, "damage");
		const fields = new LineFields();
		for (let i = 0; i < 3000; i++) {
			const damaged = damageLine(bytesOf(acknowledgementLine(1 + i)), random);
			expect(damaged.indexOf(0x0a)).toBe(damaged.length - 1);
			expect(["whole", "empty"]).not.toContain(fields.open(damaged.subarray(0, -1)));
		}
	});
});

function sumOf(change: Readonly<Record<MuscleId, number>>): number {
	return muscleIds.reduce((sum, id) => sum + change[id], 0);
}

function signalToNoise(values: readonly number[]): number {
	const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
	const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
	return 20 * Math.log10(Math.abs(mean) / Math.sqrt(variance));
}

function correlation(x: readonly number[], y: readonly number[]): number {
	const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
	const [mx, my] = [mean(x), mean(y)];
	let [xy, xx, yy] = [0, 0, 0];
	for (let i = 0; i < x.length; i++) {
		xy += (x[i]! - mx) * (y[i]! - my);
		xx += (x[i]! - mx) ** 2;
		yy += (y[i]! - my) ** 2;
	}
	return xy / Math.sqrt(xx * yy);
}
