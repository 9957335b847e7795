import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { picture } from "../../app/command/picture.ts";
import { parseRecording } from "../../core/picture/recording-file.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };

const folder = mkdtempSync(join(tmpdir(), "tautline-picture-"));
afterAll(() => rmSync(folder, { recursive: true }));

interface Run {
	readonly code: number | null;
	readonly output: string;
	readonly errors: string;
}

function runPicture(...args: string[]): Promise<Run> {
	const main = new URL("../../app/command/main.ts", import.meta.url).pathname;
	const child = spawn(process.execPath, [main, "picture", ...args]);
	let output = "";
	let errors = "";
	child.stdout.on("data", (chunk: Buffer) => {
		output += chunk.toString();
	});
	child.stderr.on("data", (chunk: Buffer) => {
		errors += chunk.toString();
	});
	return new Promise((resolve) => child.on("close", (code) => resolve({ code, output, errors })));
}

function createFile(name: string, text: string): string {
	const path = join(folder, name);
	writeFileSync(path, text);
	return path;
}

test("prints cells, strength and every frame's change and regions, and nothing else", async () => {
	const setup = {
		...tank16.setup,
		regions: [
			{ name: "north", shape: "circle", center: [0, 0.07], radius: 0.03, sigma: 0.03 },
			{ name: "south", shape: "circle", center: [0, -0.07], radius: 0.03, sigma: 0.03 },
		],
	};
	const frames = { "1.1": tank16.frames["1.1"], "6.2": tank16.frames["6.2"] };
	const run = await runPicture(createFile("tank.json", JSON.stringify({ ...tank16, setup, frames })));
	expect(run.errors).toBe("");
	expect(run.code).toBe(0);
	const { x, y, area, lambda, noiseFigure, unit, prior, rule, frames: pictures } = JSON.parse(run.output);
	expect(unit).toBe("S/m");
	expect([prior, rule]).toEqual(["diagonal", "noise-figure"]);
	expect(lambda).toBeGreaterThan(0);
	expect(noiseFigure).toBeCloseTo(1.5, 3);
	expect(y.length).toBe(x.length);
	expect(Object.keys(pictures)).toEqual(["1.1", "6.2"]);
	const total = area.reduce((sum: number, a: number) => sum + a, 0);
	expect(total / (Math.PI * 0.14 ** 2)).toBeCloseTo(1, 2);
	for (const made of Object.values(pictures) as { change: number[]; regions: Record<string, number> }[]) {
		expect(made.change.length).toBe(x.length);
		expect(made.change.every(Number.isFinite)).toBe(true);
		for (const [name, cy] of [
			["north", 0.07],
			["south", -0.07],
		] as const) {
			const inside = made.change.map((_, k) => (Math.hypot(x[k], y[k] - cy) < 0.03 ? area[k] : 0));
			const size = inside.reduce((sum, a) => sum + a, 0);
			const mean = inside.reduce((sum, a, k) => sum + a * made.change[k]!, 0) / size;
			expect(made.regions[name]).toBeCloseTo(mean, 5);
		}
	}
	// frame 1.1 holds a resistive body at the north
	expect(pictures["1.1"].regions.north).toBeLessThan(-0.01);
	expect(Math.abs(pictures["1.1"].regions.south)).toBeLessThan(0.002);
});

test.each<[string, () => string[], number, RegExp]>([
	["no file", () => [], 2, /expected one recording file, got 0/],
	["a file that is not there", () => [join(folder, "none.json")], 1, /none\.json cannot be read \(ENOENT\)/],
	["a file cut short", () => [createFile("cut.json", '{"setup": {')], 1, /cut\.json: expected JSON, got/],
	[
		"a file that is no recording",
		() => [createFile("list.json", "[]")],
		1,
		/expected a recording: an object/,
	],
	[
		"a frame of another length",
		() => {
			const frames = { a: { rest: "1.0", voltages: [1, 2] } };
			return [createFile("short.json", JSON.stringify({ ...tank16, frames }))];
		},
		1,
		/frames\.a\.voltages: expected 208 readings, as the setup has, got a list of 2/,
	],
	[
		"a rest of the wrong sign",
		() => {
			const rests = { "1.0": tank16.rests["1.0"].map((v) => -v) };
			const frames = { "1.1": tank16.frames["1.1"] };
			return [createFile("sign.json", JSON.stringify({ ...tank16, rests, frames }))];
		},
		1,
		/the readings at rest do not fit the setup/,
	],
])("answers %s with one clear sentence", async (_, args, code, sentence) => {
	const outcome = await picture.run({ prior: "diagonal", rule: "gcv" }, args());
	if (outcome.exitCode === 0) throw new Error("was accepted");
	expect(outcome.exitCode).toBe(code);
	expect(outcome.message).toMatch(sentence);
	expect(outcome.message).not.toContain("\n");
});

test("pictures without lost electrodes, with movement and at a strength by hand, and tells the choice", async () => {
	const regions = [0.07, -0.07].map((y) => ({ name: `y ${y}`, center: [0, y], radius: 0.03, sigma: 0.03 }));
	const setup = { ...tank16.setup, regions };
	const frames = { "1.1": tank16.frames["1.1"] };
	const path = createFile("options.json", JSON.stringify({ ...tank16, setup, frames }));
	const plain = JSON.parse((await runPicture(path)).output);
	const changed = JSON.parse(
		(await runPicture(path, "--without", "8,9", "--movement", "on", "--lambda", "0.2")).output,
	);
	expect(changed.lambda).toBe(0.2);
	expect(changed.models[0].curve.lambda.length).toBe(changed.models[0].curve.noiseFigure.length);
	expect(plain.models[0].curve.choices["noise-figure"]).toBe(plain.lambda);
	for (const { frames: pictures } of [plain, changed]) {
		expect(pictures["1.1"].regions["y 0.07"]).toBeLessThan(-0.01);
		expect(Math.abs(pictures["1.1"].regions["y -0.07"])).toBeLessThan(0.003);
	}
	expect(changed.frames["1.1"].change).not.toEqual(plain.frames["1.1"].change);
	expect([plain.frames["1.1"].leftOut, changed.frames["1.1"].leftOut]).toEqual([[], [8, 9]]);
	const refused = await runPicture(path, "--without", "3,16");
	expect([refused.code, refused.errors]).toEqual([
		2,
		expect.stringContaining("--without: expected electrodes from 0 to 15, divided by commas, got '16'"),
	]);
});

test("finds an electrode that reads anything, pictures without it, and says so", async () => {
	const { rest, voltages } = tank16.frames["1.1"];
	const recording = parseRecording(tank16);
	if (!recording.ok) throw new Error("the tank cannot be read");
	const { terminals } = recording.value.setup.pattern;
	const broken = voltages.map((value, r) =>
		terminals.subarray(4 * r, 4 * r + 4).includes(5) ? ((r * 7919) % 101) * 1e-3 : value,
	);
	const frames = { whole: { rest, voltages }, broken: { rest, voltages: broken } };
	const path = createFile("broken.json", JSON.stringify({ ...tank16, frames }));
	const { output, errors } = await runPicture(path);
	const { frames: pictures, models } = JSON.parse(output);
	expect([pictures.whole.leftOut, pictures.broken.leftOut]).toEqual([[], [5]]);
	expect(errors).toBe("frames broken: pictured without electrodes 5 (from 0)\n");
	expect(models.map((model: { frames: string[] }) => model.frames)).toEqual([["whole"], ["broken"]]);
});

test.each([
	[{ prior: "laplace", rule: "gcv", lambda: "-1" }, "--lambda: expected a number above zero, got '-1'"],
	[{ prior: "laplace", rule: "gcv", movement: "yes" }, "--movement: expected off or on, got 'yes'"],
	[{ prior: "magic", rule: "gcv" }, "--prior: expected diagonal or laplace, got 'magic'"],
	[{ prior: "laplace", rule: "hand" }, "--rule: expected noise-figure or gcv or l-curve, got 'hand'"],
])("names what %o may be", async (values, message) => {
	expect(await picture.run(values, ["tank.json"])).toEqual({ exitCode: 2, message });
});
