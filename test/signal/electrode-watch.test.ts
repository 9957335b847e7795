import { expect, test } from "vitest";
import type { ReadingPattern } from "../../core/band/band.ts";
import { createPattern, patternFromRows } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { createElectrodeMisfit } from "../../core/picture/electrode-misfit.ts";
import { buildPictureModel, meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import type { ContactVerdict } from "../../core/signal/contact.ts";
import { createElectrodeWatch } from "../../core/signal/electrode-watch.ts";
import { createRandom } from "../picture/plain-algebra.ts";

const FRAMES_PER_SECOND = 20;

function subjectOf(a: number, b: number, fatThickness: number, electrodeCount = 16) {
	const electrodeWidth = 0.32 / electrodeCount;
	const band = { electrodeCount, electrodeWidth, firstAngle: 1.5, direction: "clockwise" } as const;
	const outline = { type: "ellipse", a, b } as const;
	return limbSubject(createThigh({ side: "left", outline, fatThickness, level: 0.5 }), band, 50_000);
}

/** Clean readings of a thigh at rest, and with one muscle at work, which changes conductivity and shape. */
function createContractions(pattern: ReadingPattern) {
	const { electrodeCount } = pattern;
	const rest = subjectOf(0.085, 0.08, 0.008, electrodeCount);
	const atWork = subjectOf(0.0858, 0.0795, 0.0079, electrodeCount);
	const [restMesh, workMesh] = [rest, atWork].map((subject) => meshSubject(subject, 2500));
	const solver = createMeshSolver(workMesh!);
	return {
		rest: readingsFrom(
			createMeshSolver(restMesh!).solve(restSigma(rest, restMesh!), rest.contactImpedance),
			pattern,
			1,
		),
		atWork: [1, 2, 3, 4, 5, 6].map((label) => {
			const sigma = restSigma(atWork, workMesh!).map((s, k) =>
				workMesh!.regionOf[k] === label ? 1.12 * s : s,
			);
			return readingsFrom(solver.solve(sigma, atWork.contactImpedance), pattern, 1);
		}),
	};
}

const adjacent = createPattern(16, "adjacent");
const contractions = createContractions(adjacent);

/** 60 dB below the reading, with a floor. */
const noiseOf = (rest: Float64Array) => rest.map((v) => 1e-3 * Math.hypot(v, 0.05));

interface Fault {
	readonly from: number;
	readonly to: number;
	apply(readings: Float64Array, random: () => number): void;
}

/** Half of every three seconds at work, up and down within a tenth of a second. */
function effortAt(seconds: number): number {
	return Math.min(1, Math.max(0, 15 * Math.sin((2 * Math.PI * seconds) / 3)) / 3);
}

/** What the watch says each time that it changes, over a minute of one-second contractions of one muscle after another. */
function watch(
	faults: readonly Fault[],
	contacts: (seconds: number) => ContactVerdict[] | null = () => null,
	onFrame: (doubtfulSince: number, seconds: number) => void = () => undefined,
) {
	const random = createRandom(11);
	const { rest, atWork } = contractions;
	const noise = noiseOf(rest);
	const watcher = createElectrodeWatch(adjacent);
	watcher.setBaseline(rest, noise);
	const told: { seconds: number; failing: string[]; wrongSince: number }[] = [];
	for (let frame = 0; frame < 60 * FRAMES_PER_SECOND; frame++) {
		const seconds = frame / FRAMES_PER_SECOND;
		const muscle = atWork[Math.floor(seconds / 3) % atWork.length]!;
		// drives follow one another over a frame, while the muscle goes on; uniform within ±√3 has a deviation of 1
		const readings = rest.map((v, r) => {
			const late = adjacent.terminals[4 * r]! / 16 / FRAMES_PER_SECOND;
			return v + effortAt(seconds + late) * (muscle[r]! - v) + Math.sqrt(3) * noise[r]! * random();
		});
		for (const fault of faults)
			if (seconds >= fault.from && seconds < fault.to) fault.apply(readings, random);
		watcher.setContacts(contacts(seconds));
		if (watcher.take(seconds, readings)) {
			const failing = watcher.failing.flatMap((sign, e) => (sign === null ? [] : [`${e} ${sign}`]));
			told.push({ seconds, failing, wrongSince: watcher.wrongSince });
		}
		onFrame(watcher.doubtfulSince, seconds);
	}
	return told;
}

const touches = (r: number, electrode: number, places: readonly number[]) =>
	places.some((place) => adjacent.terminals[4 * r + place] === electrode);

/** The current through an electrode falls by a third. */
function weakDrive(electrode: number, from: number, to: number): Fault {
	return {
		from,
		to,
		apply(readings) {
			for (let r = 0; r < readings.length; r++) {
				if (touches(r, electrode, [0, 1])) readings[r]! *= 0.67;
			}
		},
	};
}

function crackling(electrode: number, from: number, to: number): Fault {
	return {
		from,
		to,
		apply(readings, random) {
			for (let r = 0; r < readings.length; r++) {
				if (touches(r, electrode, [0, 1, 2, 3]))
					readings[r]! += 0.03 * Math.hypot(readings[r]!, 0.05) * random();
			}
		},
	};
}

/** Readings are anything, in each frame anew. */
function anything(electrode: number, from: number, to: number): Fault {
	return {
		from,
		to,
		apply(readings, random) {
			for (let r = 0; r < readings.length; r++) {
				if (touches(r, electrode, [0, 1, 2, 3])) readings[r]! *= 1 + random();
			}
		},
	};
}

function missing(electrode: number, from: number, to: number): Fault {
	return {
		from,
		to,
		apply(readings) {
			for (let r = 0; r < readings.length; r++) if (touches(r, electrode, [2, 3])) readings[r] = Number.NaN;
			for (let r = 0; r < readings.length; r++) if (touches(r, electrode, [0, 1])) readings[r] = Number.NaN;
		},
	};
}

test("contractions of all muscles, with their change of shape, raise no alarm", () => {
	expect(watch([])).toEqual([]);
});

test.each([
	["reciprocity", weakDrive],
	["noise", crackling],
	["readings", missing],
] as const)(
	"an electrode's fault is found by its %s within two seconds, and its end within four",
	(sign, fault) => {
		const told = watch([fault(6, 10, 30)]);
		expect(told.map(({ failing }) => failing.map((text) => text.split(" ")[0]))).toEqual([["6"], []]);
		expect(told[0]!.failing).toEqual([`6 ${sign}`]);
		expect(told[0]!.seconds).toBeLessThan(12);
		expect(told[1]!.seconds).toBeGreaterThan(31.5);
		expect(told[1]!.seconds).toBeLessThan(34);
	},
);

test.each([
	["a weak drive", weakDrive],
	["readings that are anything", anything],
] as const)("%s is found within three tenths of a second, of two electrodes, too", (_, fault) => {
	const told = watch([fault(6, 10.5, 30), fault(7, 10.5, 30), fault(12, 40, 50)]);
	expect(told.find(({ failing }) => failing.length === 2)!.seconds).toBeLessThan(10.85);
	expect(told.find(({ failing }) => failing[0]?.startsWith("12"))!.seconds).toBeLessThan(40.35);
	const blamed = new Set(told.flatMap(({ failing }) => failing.map((text) => text.split(" ")[0])));
	expect(blamed).toEqual(new Set(["6", "7", "12"]));
});

test.each([
	["a weak drive", weakDrive, 0],
	["readings that are anything", anything, 0],
	// found by averages alone
	["crackling", crackling, 0.7],
] as const)("from when on %s made frames wrong is known once it is found", (_, fault, tolerance) => {
	for (const from of [10, 23.25, 41]) {
		const [found] = watch([fault(6, from, 50)]);
		expect(Math.abs(found!.wrongSince - from)).toBeLessThanOrEqual(tolerance);
	}
});

test("a fault puts its very first frame in doubt; fast contractions do for a moment only", () => {
	const doubted = new Map<number, number>();
	const note = (doubtfulSince: number, seconds: number): void => {
		if (!Number.isNaN(doubtfulSince)) doubted.set(seconds, seconds - doubtfulSince);
	};
	watch([weakDrive(6, 10, 30)], undefined, note);
	expect(doubted.get(10)).toBe(0);
	// known by then, it is no doubt
	expect(doubted.has(10.2)).toBe(false);
	doubted.clear();
	watch([], undefined, note);
	expect(Math.max(...doubted.values())).toBeLessThan(0.35);
	expect(doubted.size).toBeLessThan(0.1 * 60 * FRAMES_PER_SECOND);
});

test("two electrodes that fail, also side by side, are both found, and no other", () => {
	for (const other of [7, 8, 13]) {
		const told = watch([weakDrive(6, 10, 30), crackling(other, 20, 40)]);
		expect(told.map(({ failing }) => failing.map((text) => text.split(" ")[0]).join(" "))).toEqual([
			"6",
			`6 ${other}`,
			`${other}`,
			"",
		]);
	}
});

test("a contact that is off counts as failing, a fault of a tenth of a second does not", () => {
	const off = (seconds: number) =>
		Array.from(
			{ length: 16 },
			(_, e): ContactVerdict => (e === 3 && seconds >= 5 && seconds < 8 ? "off" : "good"),
		);
	expect(watch([weakDrive(9, 20, 20.1)], off).map(({ failing }) => failing)).toEqual([["3 contact"], []]);
});

// Asfaw & Adler 2005. No reading of these patterns has a reciprocal partner, or only few have.
test.each([
	["opposite", createPattern(16, "opposite")],
	["opposite, brought down to fewer values", createPattern(28, "opposite")],
	["many drives", manyDrives(12)],
] as const)(
	"readings that do not follow from the others' betray an electrode, contractions do not: %s",
	(_, pattern) => {
		const { rest, atWork } = createContractions(pattern);
		const noise = noiseOf(rest);
		const model = buildPictureModel({
			subject: subjectOf(0.085, 0.08, 0.01, pattern.electrodeCount),
			pattern,
			ohmMetrePerUnit: 1,
			noise,
			rest,
			prior: "diagonal",
			rule: "noise-figure",
			targetTriangles: 1500,
		});
		const misfit = createElectrodeMisfit(model, pattern);
		misfit.setBaseline(rest);
		const random = createRandom(5);
		const noisy = (readings: Float64Array) => readings.map((v, r) => v + Math.sqrt(3) * noise[r]! * random());
		for (const readings of [rest, ...atWork]) {
			for (let i = 0; i < 5; i++) expect(misfit.judge(noisy(readings)).includes(1)).toBe(false);
		}
		const level = Math.sqrt(rest.reduce((sum, v) => sum + v * v, 0) / rest.length);
		for (const readings of [rest, ...atWork]) {
			const faulty = noisy(readings);
			for (let r = 0; r < faulty.length; r++) {
				if (pattern.terminals[4 * r + 2] === 5) faulty[r]! += 0.1 * level;
				if (pattern.terminals[4 * r + 3] === 5) faulty[r]! -= 0.1 * level;
			}
			const strangers = misfit.judge(faulty);
			expect(Array.from(strangers.keys()).filter((e) => strangers[e] === 1)).toEqual([5]);
		}
	},
);

function manyDrives(electrodeCount: number): ReadingPattern {
	const rows = (["skip-0", "skip-1", "skip-2"] as const).flatMap((rule) => {
		const { terminals } = createPattern(electrodeCount, rule, "four-terminal", "adjacent");
		return Array.from({ length: terminals.length / 4 }, (_, r) => [...terminals.subarray(4 * r, 4 * r + 4)]);
	});
	return patternFromRows("many", electrodeCount, rows);
}
