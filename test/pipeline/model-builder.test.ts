import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { inventedBand, inventedLimb } from "../../app/link/simulated/invented-person.ts";
import type { ModelRequest } from "../../app/pipeline/messages.ts";
import { createModelBuilder, type ModelBuilder } from "../../app/pipeline/model-builder.ts";
import { createPattern } from "../../core/band/patterns.ts";

const request: ModelRequest = {
	bandIndex: 0,
	body: { kind: "limb", limb: inventedLimb, band: inventedBand(16) },
	electrodeCount: 16,
	terminals: createPattern(16, "adjacent").terminals,
	noise: null,
	rest: null,
	frequencyHertz: 50_000,
	settings: { prior: "diagonal", rule: "noise-figure" },
};

const never = new AbortController().signal;

let builder: ModelBuilder;

beforeEach(() => {
	builder = createModelBuilder(new URL("../../app/pipeline/model-worker.ts", import.meta.url));
});

afterEach(() => builder.dispose());

describe("the builder of models", () => {
	test("says step by step what it does and gives geometry that fits the matrix", async () => {
		const steps: string[] = [];
		const built = await builder.build(request, (step) => steps.push(step), never);
		if (!built.ok) throw new Error(built.error.kind);
		expect(steps).toHaveLength(4);
		const { geometry, model, regions } = built.value;
		expect(model.matrix.rowCount).toBe(geometry.nodes.length / 2 + regions.length);
		expect(geometry.regions.filter(({ trendIndex }) => trendIndex !== null).map(({ id }) => id)).toEqual(
			regions.map(({ id }) => id),
		);
		// The invented person's band begins at the front: electrode 1 lies at the top of the picture.
		const arc = geometry.electrodes[0]!.arc;
		const [x, y] = arc[arc.length >> 1]!;
		expect(Math.abs(x)).toBeLessThan(0.005);
		expect(y).toBeGreaterThan(0.07);
	});

	test("ends a job that is under way when it is given up, and does the next", async () => {
		const abort = new AbortController();
		const given = builder.build(request, () => abort.abort(), abort.signal);
		const next = builder.build(request, () => undefined, never);
		expect(await given).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect((await next).ok).toBe(true);
	});

	test("never starts a job that is given up while it waits", async () => {
		const abort = new AbortController();
		const first = builder.build(request, () => undefined, never);
		let isStarted = false;
		const second = builder.build(
			request,
			() => {
				isStarted = true;
			},
			abort.signal,
		);
		abort.abort();
		expect(await second).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect((await first).ok).toBe(true);
		expect(isStarted).toBe(false);
	});

	test("tells what cannot be in words and goes on", async () => {
		const impossible = {
			...request,
			body: { kind: "limb", limb: { ...inventedLimb, fatThickness: 0.06 }, band: inventedBand(16) },
		} as const;
		const failed = await builder.build(impossible, () => undefined, never);
		expect(failed).toMatchObject({ ok: false, error: { kind: "invalid-argument" } });
		const absurd = await builder.build(
			{ ...request, body: { kind: "case", setup: { dimension: 3 } } },
			() => undefined,
			never,
		);
		expect(absurd).toMatchObject({ ok: false, error: { kind: "invalid-argument", path: "dimension" } });
		expect((await builder.read("x.json", "[]", never)).ok).toBe(false);
	});

	test("settles all jobs when it ends", async () => {
		const jobs = [1, 2].map(() => builder.build(request, () => undefined, never));
		await builder.dispose();
		expect(await Promise.all(jobs)).toEqual([1, 2].map(() => ({ ok: false, error: { kind: "cancelled" } })));
		expect(await builder.build(request, () => undefined, never)).toMatchObject({ ok: false });
	});

	test("survives a worker that dies", async () => {
		const broken = createModelBuilder(new URL("data:text/javascript,throw new Error('gone')"));
		const failed = await broken.build(request, () => undefined, never);
		expect(failed).toMatchObject({ ok: false, error: { kind: "internal", detail: "gone" } });
		await broken.dispose();
	});
});
