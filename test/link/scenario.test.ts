import { describe, expect, test } from "vitest";
import { scenarioNames } from "../../app/contract.ts";
import { muscleIds } from "../../app/link/simulated/exercises.ts";
import { createAskedEffort } from "../../app/link/simulated/follower.ts";
import { Random } from "../../app/link/simulated/random.ts";
import { largestSlipMetre, Scenario } from "../../app/link/simulated/scenario.ts";

function activationsAt(scenario: Scenario, seconds: number): Float64Array {
	const activation = new Float64Array(muscleIds.length);
	scenario.activationsInto(seconds, activation);
	return activation;
}

const muscle = (id: (typeof muscleIds)[number]) => muscleIds.indexOf(id);

describe("scenarios", () => {
	test.each(scenarioNames)("%s begins with four seconds of rest and stays within full engagement", (name) => {
		const scenario = new Scenario(name, 5);
		for (let time = 0; time < 4; time += 0.1) expect(Math.max(...activationsAt(scenario, time))).toBe(0);
		for (let time = 4; time < 200; time += 0.05) {
			const activation = activationsAt(scenario, time);
			expect(Math.min(...activation)).toBeGreaterThanOrEqual(0);
			expect(Math.max(...activation)).toBeLessThanOrEqual(1.25);
		}
	});

	test.each(scenarioNames)("%s is the same for the same seed, whatever the order of questions", (name) => {
		const times = [12.3, 250, 0.5, 88.8, 6, 15.5, 12.3];
		const first = new Scenario(name, 9);
		const forward = times.map((time) => activationsAt(first, time));
		const second = new Scenario(name, 9);
		expect(times.toReversed().map((time) => activationsAt(second, time))).toEqual(forward.toReversed());
		if (name !== "rest" && name !== "follow-coach") {
			const other = new Scenario(name, 10);
			expect(times.map((time) => activationsAt(other, time))).not.toEqual(forward);
		}
	});

	test("muscles have their own timing: medialis leads a quad set, rectus femoris follows", () => {
		const scenario = new Scenario("quad-sets", 3);
		const onset = (id: (typeof muscleIds)[number]) => {
			for (let time = 4; time < 8; time += 0.005) {
				if (activationsAt(scenario, time)[muscle(id)]! > 0.3) return time;
			}
			throw new Error(`${id} never engaged`);
		};
		expect(onset("rectus-femoris") - onset("vastus-medialis")).toBeGreaterThan(0.15);
	});

	test("a person who follows tenses when asked, as much as asked, and lets go", () => {
		const asked = createAskedEffort();
		const scenario = new Scenario("follow-coach", 3, asked);
		const medialis = (from: number, to: number) => {
			let last = 0;
			for (let time = from; time < to; time += 1 / 30) {
				last = activationsAt(scenario, time)[muscle("vastus-medialis")]!;
			}
			return last;
		};
		expect(medialis(0, 5)).toBe(0);
		expect(scenario.doing(5)).toBeNull();
		asked.share[0] = 0.5;
		expect(medialis(5, 7)).toBeGreaterThan(0.45);
		expect(medialis(7, 8)).toBeLessThan(0.55);
		expect(scenario.doing(8)).toEqual({ exercise: "quad set", repetition: 1 });
		asked.share[0] = 0;
		expect(medialis(8, 10)).toBeLessThan(0.01);
	});

	test("a person sits still while asked to, whatever they do, and then goes on", () => {
		const asked = createAskedEffort();
		const scenario = new Scenario("quad-sets", 3, asked);
		expect(activationsAt(scenario, 7)[muscle("vastus-medialis")]).toBeGreaterThan(0.5);
		asked.stillness![0] = 1;
		expect(activationsAt(scenario, 7.1).every((activation) => activation === 0)).toBe(true);
		expect(scenario.doing(7.1)).toBeNull();
		asked.stillness![0] = 0;
		expect(scenario.doing(7.2)?.exercise).toBe("quad set");
	});

	test("a person who follows presses the heel down when the back of the thigh is asked for", () => {
		const asked = createAskedEffort();
		const scenario = new Scenario("follow-coach", 3, asked);
		activationsAt(scenario, 1);
		asked.share[1] = 1;
		let pressed = activationsAt(scenario, 1);
		for (let time = 1; time < 3; time += 1 / 30) pressed = activationsAt(scenario, time);
		expect(pressed[muscle("hamstrings")]).toBeGreaterThan(0.85);
		expect(pressed[muscle("vastus-medialis")]).toBeLessThan(0.1);
		expect(scenario.doing(3)).toEqual({ exercise: "heel dig", repetition: 1 });
	});

	test("leg raises are led by rectus femoris, heel digs by the hamstrings", () => {
		const raises = activationsAt(new Scenario("leg-raises", 3), 7);
		expect(raises.indexOf(Math.max(...raises))).toBe(muscle("rectus-femoris"));
		const tour = new Scenario("tour", 3);
		let time = 0;
		while (tour.doing(time)?.exercise !== "heel dig") time += 0.1;
		const dig = activationsAt(tour, time + 1.5);
		expect(dig.indexOf(Math.max(...dig))).toBe(muscle("hamstrings"));
	});

	test("in fatigue the vasti fade during a hold while rectus femoris takes over", () => {
		const scenario = new Scenario("fatigue", 3);
		const mean = (id: (typeof muscleIds)[number], from: number) => {
			let sum = 0;
			for (let i = 0; i < 100; i++) sum += activationsAt(scenario, from + i * 0.02)[muscle(id)]! / 100;
			return sum;
		};
		expect(mean("vastus-lateralis", 21) / mean("vastus-lateralis", 6)).toBeLessThan(0.85);
		expect(mean("rectus-femoris", 21) / mean("rectus-femoris", 6)).toBeGreaterThan(1.1);
	});

	test("says what is being done, and counts repetitions", () => {
		const scenario = new Scenario("quad-sets", 3);
		expect(scenario.doing(2)).toBeNull();
		expect(scenario.doing(6)).toEqual({ exercise: "quad set", repetition: 1 });
		expect(scenario.doing(12)).toBeNull();
		expect(scenario.doing(16)).toEqual({ exercise: "quad set", repetition: 2 });
	});

	test("only slippage slips, and only poor contact has a poor contact", () => {
		for (const name of scenarioNames) {
			const scenario = new Scenario(name, 1);
			const slips = [0, 17, 19, 60].map((time) => scenario.slipMetre(time));
			expect(slips).toEqual(name === "slippage" ? [0, 0, 0.004, largestSlipMetre] : [0, 0, 0, 0]);
			const factors = [0, 23, 35].map((time) => scenario.contactFactor(time));
			if (name === "poor-contact") expect(factors).toEqual([1, 300, 300]);
			else expect(factors).toEqual([1, 1, 1]);
		}
	});
});

describe("seeded random numbers", () => {
	test("are the same for the same seed and stream, and different otherwise", () => {
		const draw = (seed: number, stream: string) => {
			const random = new Random(seed, stream);
			return Array.from({ length: 20 }, () => random.uniform());
		};
		expect(draw(7, "a")).toEqual(draw(7, "a"));
		expect(draw(7, "a")).not.toEqual(draw(8, "a"));
		expect(draw(7, "a")).not.toEqual(draw(7, "b"));
	});

	test("have the moments of their distributions", () => {
		const random = new Random(1, "moments");
		const n = 40_000;
		const uniforms = Array.from({ length: n }, () => random.uniform());
		const normals = Array.from({ length: n }, () => random.normal());
		const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / n;
		// Five standard errors: 1/√(12 n), 1/√n, √(2/n).
		expect(Math.abs(mean(uniforms) - 0.5)).toBeLessThan(5 / Math.sqrt(12 * n));
		expect(Math.abs(mean(normals))).toBeLessThan(5 / Math.sqrt(n));
		expect(Math.abs(mean(normals.map((x) => x * x)) - 1)).toBeLessThan(5 * Math.sqrt(2 / n));
		expect(Math.min(...uniforms)).toBeGreaterThanOrEqual(0);
		expect(Math.max(...uniforms)).toBeLessThan(1);
	});
});
